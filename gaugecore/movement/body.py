"""The bodies of movements: what a plate must have cut out to take one.

Every figure is typical: measure yours. Seen from the face, shaft at 0, 0, the body hanging toward six
o'clock.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Self

from pydantic import Field, model_validator

from gaugecore.movement.library import GENERIC
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.values import Caption, Length, LengthOrZero, Offset, Part


class Screw(Part):
    """A screw hole, placed from the movement's shaft."""

    x_mm: Offset
    y_mm: Offset
    diameter_mm: Length


class Body(Part):
    """The opening for a movement: round or rectangular, and its screws."""

    name: Caption = ""
    diameter_mm: LengthOrZero = 0.0
    """Of a round opening; 0: a rectangular one."""
    width_mm: LengthOrZero = 0.0
    height_mm: LengthOrZero = 0.0
    x_mm: Offset = 0.0
    y_mm: Offset = 0.0
    """Middle of the opening, from the shaft."""
    screws: Annotated[tuple[Screw, ...], Field(max_length=16)] = ()
    source: Caption = "typical, measure yours"

    @model_validator(mode="after")
    def _has_an_opening(self) -> Self:
        if not self.diameter_mm and not (self.width_mm and self.height_mm):
            raise ValueError("a body needs a diameter_mm, or a width_mm and a height_mm")
        return self


def _square(pitch_mm: float, diameter_mm: float) -> tuple[Screw, ...]:
    half = pitch_mm / 2.0
    corners = ((half, half), (half, -half), (-half, -half), (-half, half))
    return tuple(Screw(x_mm=x, y_mm=y, diameter_mm=diameter_mm) for x, y in corners)


_FLANGES = "typical, measure yours: pilot and pitch from a published table of NEMA ICS 16 flanges"
_STANDARD = Body(
    name="standard servo",
    width_mm=20.0,
    height_mm=40.5,
    y_mm=-10.0,
    screws=tuple(
        Screw(x_mm=x, y_mm=-10.0 + y, diameter_mm=3.2) for y in (24.75, -24.75) for x in (-5.0, 5.0)
    ),
    source="typical, measure yours: body and 49.5 mm from makers' articles; rest common practice, no source",
)
_SMALL = Body(
    name="9 g class servo",
    width_mm=12.2,
    height_mm=22.8,
    y_mm=-5.5,
    screws=(Screw(x_mm=0.0, y_mm=8.4, diameter_mm=2.0), Screw(x_mm=0.0, y_mm=-19.4, diameter_mm=2.0)),
    source="typical, measure yours: body 22.2 to 23 by 11.8 to 12.5 mm in makers' articles; "
    "rest common practice, no source",
)

BODIES: Mapping[str, Body] = {
    "servo-9g-analogue": _SMALL,
    "servo-9g-digital": _SMALL,
    "servo-standard": _STANDARD,
    "servo-low-profile": _STANDARD.model_copy(
        update={
            "name": "low-profile servo",
            "source": "typical, measure yours: taken as the standard servo's; common practice, no source",
        }
    ),
    "gauge-stepper-315": Body(
        name="gauge stepper",
        diameter_mm=10.0,
        source="typical, measure yours: clears shaft and neck, the body is held behind; "
        "common practice, no source",
    ),
    "hybrid-28mm": Body(name="hybrid, 28 mm", diameter_mm=22.0, screws=_square(23.0, 2.8), source=_FLANGES),
    "hybrid-42mm": Body(name="hybrid, 42 mm", diameter_mm=22.0, screws=_square(31.0, 3.4), source=_FLANGES),
}
"""Bodies by the keys of `gaugecore.movement.library.GENERIC`."""


def body_for(movement: Servo | Stepper) -> Body:
    """Return the typical body of a movement: that of its generic class, found by name, else by kind."""
    for key, generic in GENERIC.items():
        if generic.name == movement.name:
            return BODIES[key]
    return BODIES["servo-9g-analogue" if isinstance(movement, Servo) else "gauge-stepper-315"]
