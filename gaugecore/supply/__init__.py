"""Where the current comes from and where it goes."""
