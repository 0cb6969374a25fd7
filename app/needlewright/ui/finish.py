"""What the dial is looked at as: printed paper, a cut sheet, or by night with its lamps on."""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum

from gaugecore.drawing.elements import AnyElement, Operation
from gaugecore.panel.document import Instrument
from needlewright.ui.night import colour_at_night


class Finish(Enum):
    """A way to make the face, and the light it is seen in."""

    PAPER = "paper"
    ACRYLIC = "acrylic"
    NIGHT = "lit by night"


def colour_in(finish: Finish, element: AnyElement, instrument: Instrument) -> str:
    """Return the colour an element of a face has in a finish.

    Acrylic is a two-layer sheet: what is not left standing of its cap shows the core, which has one colour,
    that of the ink.
    """
    if finish is Finish.NIGHT:
        return colour_at_night(element, instrument)
    if finish is Finish.PAPER or element.operation in (Operation.CUT, Operation.GUIDE):
        return element.colour
    return instrument.face.ground_colour if element.part == "ground" else instrument.face.ink_colour


def recolour(finish: Finish, instrument: Instrument | None) -> Callable[[AnyElement], str] | None:
    """Return how elements are recoloured; None: they stay as they are made."""
    if finish is Finish.PAPER or instrument is None:
        return None
    return lambda element: colour_in(finish, element, instrument)
