"""From a fit to integers: the table that firmware evaluates."""
