"""The dial by night, lit from behind: what glows is warm, the rest is dark."""

from __future__ import annotations

from gaugecore.drawing.elements import AnyElement, Operation
from gaugecore.face.light import Glow
from gaugecore.panel.document import Instrument

#: Warm white of a lamp behind a diffuser, and what reflects of the rest; for the eye, not for a machine.
GLOW_COLOUR, DARK_COLOUR, FACE_COLOUR = "#ffcf8f", "#2a2620", "#0d0c0a"
#: What glows together with something else, as in the mask.
_WITH = {"limit_lines": "sectors", "index_triangles": "icons", "lubber_line": "icons"}
_UNLIT = {"#000000", "#111111"}


def colour_at_night(element: AnyElement, instrument: Instrument) -> str:
    """Return the colour an element of a face has when the panel is dark and its back-light is on.

    Without a light layer all marks glow, as on paper in front of a lamp; with one, what the layer says.
    """
    if element.operation in (Operation.CUT, Operation.GUIDE):
        return DARK_COLOUR
    if element.part == "ground":
        return FACE_COLOUR
    light = instrument.making.light
    glows = {glow.value for glow in (light.glow if light is not None else tuple(Glow))}
    kind = element.part.removeprefix("second.").partition(".")[0]
    if _WITH.get(kind, kind) not in glows:
        return DARK_COLOUR
    is_ink = element.colour in _UNLIT or element.colour == instrument.face.ink_colour
    return GLOW_COLOUR if is_ink else element.colour
