"""The front ends: a terminal and a window over the same engine."""
