"""The line protocol, the link to a board, and a simulated board."""
