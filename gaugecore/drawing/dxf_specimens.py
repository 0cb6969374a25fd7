"""DXF entities as the library writes them, with gaps for what each has for itself.

What an entity looks like in a file is the library's business. But a face has a thousand lines and letter
strokes, and the library takes its time over each. So it writes one specimen of every look, and the others are
copies of it with their own handle and numbers.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import Any, Final, NamedTuple

import numpy as np
from ezdxf.entities.arc import Arc
from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.hatch import Hatch
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.lldxf.const import DXF2010
from ezdxf.lldxf.tagwriter import TagWriter

#: Stand nowhere else in a specimen.
_HANDLE: Final = "FEEDFACE"
_FIRST_NUMBER: Final = 90000.5
_EVERY_HATCH_RING: Final = 0


class Look(NamedTuple):
    """What entities share that look alike: owner's handle, layer, colour, width of polylines."""

    owner: str
    layer: str
    true_color: int
    width_mm: float

    def attributes(self, **more: Any) -> dict[str, Any]:
        """Return it in the library's words, with more attributes; the width is for polylines only."""
        return {"layer": self.layer, "true_color": self.true_color, **more}


Bulges = tuple[bool, ...]
"""Of the vertices of a polyline: whether the way to the next one is an arc."""

Maker = Callable[[Look, Any, Sequence[float]], DXFGraphic]
"""Makes an entity of a look, a form and its numbers."""


def line(look: Look, _: None, numbers: Sequence[float]) -> DXFGraphic:
    """Return a line of x and y of its start and its end."""
    return Line.new(dxfattribs=look.attributes(start=tuple(numbers[:2]), end=tuple(numbers[2:])))


def circle(look: Look, _: None, numbers: Sequence[float]) -> DXFGraphic:
    """Return a circle of x and y of its centre and its radius."""
    return Circle.new(dxfattribs=look.attributes(center=tuple(numbers[:2]), radius=numbers[2]))


def arc(look: Look, _: None, numbers: Sequence[float]) -> DXFGraphic:
    """Return an arc of a circle's numbers, and its angles counter-clockwise from three o'clock."""
    angles = {"start_angle": numbers[3], "end_angle": numbers[4]}
    return Arc.new(dxfattribs=look.attributes(center=tuple(numbers[:2]), radius=numbers[2], **angles))


def open_polyline(look: Look, bulges: Bulges, numbers: Sequence[float]) -> DXFGraphic:
    """Return an open polyline of x, y and, where it has one, bulge of every vertex."""
    wide = {"const_width": look.width_mm} if look.width_mm else {}
    drawn = LWPolyline.new(dxfattribs=look.attributes(**wide))
    x_y_widths_bulge = np.zeros((len(bulges), 5))
    x_y_widths_bulge[:, [0, 1, 4]] = _vertices(bulges, iter(numbers))
    drawn.lwpoints.set(x_y_widths_bulge)
    return drawn


def closed_polyline(look: Look, bulges: Bulges, numbers: Sequence[float]) -> DXFGraphic:
    """Return a closed polyline; see `open_polyline`."""
    drawn = open_polyline(look, bulges, numbers)
    drawn.closed = True  # type: ignore[attr-defined]
    return drawn


def hatch(look: Look, loops: tuple[Bulges, ...], numbers: Sequence[float]) -> DXFGraphic:
    """Return a filled area between closed polylines, even-odd."""
    drawn = Hatch.new(dxfattribs=look.attributes(hatch_style=_EVERY_HATCH_RING))
    rest = iter(numbers)
    for bulges in loops:
        drawn.paths.add_polyline_path(_vertices(bulges, rest), is_closed=True)
    return drawn


@lru_cache(maxsize=256)
def specimen(make: Maker, look: Look, form: Any, count: int) -> tuple[str, ...]:
    """Return what stands before the handle, before each number and after the last of an entity.

    Parameters
    ----------
    make : Maker
        One of those above.
    look : Look
        What all its copies share.
    form : Any
        What it is made of, as the maker wants it.
    count : int
        How many numbers it has.
    """
    numbers = [_FIRST_NUMBER + at for at in range(count)]
    entity = make(look, form, numbers)
    entity.dxf.handle, entity.dxf.owner = _HANDLE, look.owner
    stream = io.StringIO()
    entity.export_dxf(TagWriter(stream, DXF2010))
    return _parted(stream.getvalue(), (_HANDLE, *numbers))


def _vertices(bulges: Bulges, numbers: Iterable[float]) -> list[tuple[float, float, float]]:
    rest = iter(numbers)
    return [(next(rest), next(rest), next(rest) if bulge else 0.0) for bulge in bulges]


def _parted(text: str, values: Iterable[object]) -> tuple[str, ...]:
    """Return what stands before, between and after values that follow each other in a text."""
    parts, start = [], 0
    for value in values:
        line = f"{value}\n"
        end = text.find("\n" + line, start) + 1
        if not end:
            raise RuntimeError(f"the DXF library writes otherwise than expected: no {value} in {text!r}")
        parts.append(text[start:end])
        start = end + len(line) - 1
    return (*parts, text[start:])
