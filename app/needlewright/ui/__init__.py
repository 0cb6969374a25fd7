"""The window: a thin front end over the engine.

`document.py` holds the current panel, `desk.py` what is being looked at. Everything else listens to these
two and asks them for changes; no widget tells another what to do.
"""
