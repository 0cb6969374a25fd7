"""The paper that goes with the made thing."""
