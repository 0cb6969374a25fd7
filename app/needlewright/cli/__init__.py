"""The terminal, a file a verb."""
