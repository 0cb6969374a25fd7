"""What the user's own machine goes by: the colour and line width of each operation.

Cutters tell operations apart by colour, and every shop has its own colours. Drawings keep theirs for people
until they are prepared for a machine.
"""

from __future__ import annotations

from dataclasses import replace

from gaugecore.drawing.elements import AnyElement, Drawing, Operation
from gaugecore.values import Colour, LengthOrZero, Part


class Look(Part):
    """How one operation is written for the machine."""

    colour: Colour | None = None
    """None: as drawn."""
    width_mm: LengthOrZero | None = None
    """None: as drawn; 0: the thinnest line there is, which many cutters ask for."""
    sent: bool = True
    """Whether the machine gets it at all."""


class Machine(Part):
    """A look for each operation; the defaults are common practice, no source: ask your shop."""

    cut: Look = Look(colour="#ff0000", width_mm=0.0)
    score: Look = Look(colour="#0000ff", width_mm=0.0)
    engrave: Look = Look(colour="#000000")
    print: Look = Look(sent=False)
    mask: Look = Look(sent=False)
    guide: Look = Look(colour="#00a0a0", width_mm=0.0)
    """Captions and centres. They are for people: tell the machine to skip this colour."""

    def look(self, operation: Operation) -> Look:
        """Return the look of an operation."""
        found: Look = getattr(self, operation.value)
        return found


def prepared_for(machine: Machine, drawing: Drawing) -> Drawing:
    """Return a drawing in a machine's colours and widths, without what is not sent."""
    return replace(
        drawing,
        elements=tuple(
            _dressed(element, machine.look(element.operation))
            for element in drawing.elements
            if machine.look(element.operation).sent
        ),
    )


def _dressed(element: AnyElement, look: Look) -> AnyElement:
    return replace(
        element,
        colour=element.colour if look.colour is None else look.colour,
        width_mm=element.width_mm if look.width_mm is None else look.width_mm,
    )
