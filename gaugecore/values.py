"""What every part of the document is made of: the frozen base and the checked kinds of number and text.

An object that exists is a valid one, so no later code checks again. Unknown keys, infinities and NaN are
refused; numbers given as text are refused rather than guessed at.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints


class Part(BaseModel):
    """Base of the document's parts: frozen, closed, strict."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", strict=True, allow_inf_nan=False, use_attribute_docstrings=True
    )


#: A metre is beyond anything this tool makes, and small enough that nothing overflows on the way.
LONGEST_MM = 1000.0

Length = Annotated[float, Field(gt=0, le=LONGEST_MM)]
"""A length in mm, more than zero."""
LengthOrZero = Annotated[float, Field(ge=0, le=LONGEST_MM)]
"""A length in mm, zero allowed."""
Offset = Annotated[float, Field(ge=-LONGEST_MM, le=LONGEST_MM)]
"""A sheet coordinate in mm."""
DialAngle = Annotated[float, Field(ge=-36000, le=36000)]
"""A dial angle in degrees, a hundred turns either way."""
Quantity = Annotated[float, Field(ge=-1e12, le=1e12)]
"""An indicated or raw value, in the instrument's unit."""
Current = Annotated[float, Field(ge=0, le=100_000)]
"""A current in mA."""

Identifier = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9-]{0,39}$")]
"""A name used in file names and on the command line: lower case, digits, hyphens."""
Caption = Annotated[str, StringConstraints(max_length=200, pattern=r"^[^\x00-\x1f\x7f-\x9f\u2028\u2029]*$")]
"""Text on one line, at most 200 characters, no control characters."""
Remark = Annotated[str, StringConstraints(max_length=4000)]
"""Free text for people, several lines allowed."""
Colour = Annotated[str, StringConstraints(pattern=r"^#[0-9a-f]{6}$")]
"""A colour as #rrggbb, lower case."""
