"""From readings to a fit: where the needle really points, and how sure that is."""
