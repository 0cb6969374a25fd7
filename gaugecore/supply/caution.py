"""The caution that every electrical output carries."""

LOCAL_RULES = "Local electrical rules come first."
"""What a remedy ends with; the whole caution stands once in each output."""

CAUTION = (
    "Stay within the port's limit; where it is exceeded use a certified 5 V supply of its own with common "
    f"ground, and never feed it back into USB. {LOCAL_RULES} Not for use in a "
    "real aircraft, vehicle or vessel."
)
