"""The caution that every electrical output carries."""

CAUTION = (
    "Stay within the port's limit; where it is exceeded use a certified 5 V supply of its own with common "
    "ground, and never feed it back into USB. Local electrical rules come first. Not for use in a real "
    "aircraft, vehicle or vessel."
)
