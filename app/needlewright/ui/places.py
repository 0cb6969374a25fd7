"""Between what is drawn and what is edited: parts of a drawing, places in an instrument.

A drawing names its parts below the face (``legends.0``, ``graduations.major.35``); the form needs a place
in the document (``face.legends.0``, ``face.graduations.major``).
"""

from __future__ import annotations

from collections.abc import Callable

from gaugecore.drawing.elements import AnyElement
from gaugecore.errors import DocumentError
from gaugecore.panel.document import Instrument
from gaugecore.panel.edit import Place, parse_place, place_text, value_at

#: Parts that are drawn under another name than the field that makes them.
_FIELD_OF = {
    "outline": "diameter_mm",
    "ground": "ground_colour",
    "centre_hole": "centre_hole_mm",
    "graduations.base_arc": "graduations.base_arc_width_mm",
}


def place_of_part(instrument: Instrument, part: str) -> str:
    """Return the place below the instrument that makes a drawn part; empty when none does."""
    steps = parse_place(_FIELD_OF.get(part, part))
    for length in range(len(steps), 0, -1):
        place: Place = ("face", *steps[:length])
        try:
            value_at(instrument, place)
        except DocumentError:
            continue
        return place_text(place)
    return ""


def shown_by(place: str) -> Callable[[AnyElement], bool]:
    """Return which elements show the thing at a place below the instrument.

    A field of a thing shows as the thing: ``face.legends.0.text`` as the legend. One of several shows alone.
    """
    below = place.removeprefix("face.") if place.startswith("face.") else ""
    owner, _, last = below.rpartition(".")
    things = {thing for thing in (below, "" if last.isdigit() else owner) if thing}
    parts_below = tuple(f"{thing}." for thing in things)

    def shows(element: AnyElement) -> bool:
        part = _FIELD_OF.get(element.part, element.part)
        return part.startswith(parts_below) or part in things

    return shows
