"""The document: composed of the parts' models, stored, checked."""
