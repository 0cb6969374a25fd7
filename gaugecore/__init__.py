"""The Needlewright engine: headless, importable in a notebook; no Qt, no terminal."""
