"""Drawings as DXF (R2010): millimetres, true arcs, a layer an operation.

Lines with a width are polylines of that width, since DXF's line weights come in steps and are not geometry; a
machine that ignores the width follows their middle, which is where it belongs.
"""

from __future__ import annotations

import io
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from gaugecore.drawing.elements import AnyElement, Arc, Circle, Drawing, Line, Operation, Outline, Strokes
from gaugecore.drawing.layers import LAYERS
from gaugecore.drawing.ring import circle_loop
from gaugecore.polar import bulge_of, dial_to_xy_mm

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gaugecore.drawing.elements import Vertex
    from gaugecore.polar import Point

#: Only floating point dust goes: what a bulge makes of rounded ends is many times the rounding.
DECIMALS: Final = 9
#: The format's colour index by operation, for machines that go by colour: red cut, blue score, green engrave.
_LAYER_COLOURS: Final = {
    Operation.PRINT: 7,
    Operation.MASK: 8,
    Operation.ENGRAVE: 3,
    Operation.SCORE: 5,
    Operation.CUT: 1,
    Operation.GUIDE: 4,
}
_EVERY_HATCH_RING: Final = 0


def to_dxf(drawing: Drawing) -> bytes:
    """Return a drawing as a DXF file.

    Parameters
    ----------
    drawing : Drawing
        What to write; the pivot is the origin, and the box goes into the drawing's limits.

    Returns
    -------
    bytes
        The same drawing always gives the same bytes.
    """
    from ezdxf import units
    from ezdxf.filemanagement import new

    with _fixed_dates():
        document = new("R2010", units=units.MM)
        document.header["$MEASUREMENT"] = 1
        box = drawing.box
        document.header["$EXTMIN"] = (box.left_mm, box.bottom_mm, 0.0)
        document.header["$EXTMAX"] = (box.right_mm, box.top_mm, 0.0)
        space = document.modelspace()
        space.reset_extents((box.left_mm, box.bottom_mm, 0.0), (box.right_mm, box.top_mm, 0.0))
        space.reset_limits((box.left_mm, box.bottom_mm), (box.right_mm, box.top_mm))
        for operation in LAYERS:
            elements = [element for element in drawing.elements if element.operation is operation]
            if elements:
                document.layers.add(layer_name(operation), color=_LAYER_COLOURS[operation])
                for element in elements:
                    _draw(space, element)
        stream = io.StringIO()
        document.write(stream)
    return stream.getvalue().encode("utf-8")


def layer_name(operation: Operation) -> str:
    """Return the name of the layer that holds an operation.

    Examples
    --------
    >>> layer_name(Operation.CUT)
    'CUT'
    """
    return operation.value.upper()


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Keep dates and random identifiers out of what is written meanwhile."""
    from ezdxf._options import options  # the library's settings, which it exports without saying so

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _draw(space: Any, element: AnyElement) -> None:
    look = {"layer": layer_name(element.operation), "true_color": int(element.colour[1:], 16)}
    match element:
        case Line(width_mm=0.0):
            space.add_line(_rounded(element.start_mm), _rounded(element.end_mm), dxfattribs=look)
        case Line():
            _polyline(space, (element.start_mm, element.end_mm), element.width_mm, look)
        case Arc(width_mm=0.0):
            # DXF arcs run counter-clockwise from three o'clock
            space.add_arc(
                _rounded(element.centre_mm),
                round(element.radius_mm, DECIMALS),
                90.0 - element.end_deg,
                90.0 - element.start_deg,
                dxfattribs=look,
            )
        case Arc():
            _polyline(space, _arc_vertices(element), element.width_mm, look)
        case Circle(filled=False, width_mm=0.0):
            space.add_circle(_rounded(element.centre_mm), round(element.radius_mm, DECIMALS), dxfattribs=look)
        case Circle():
            loop = circle_loop(element.radius_mm, element.centre_mm)
            _loops(space, (loop,), element.filled, element.width_mm, look)
        case Outline():
            _loops(space, element.loops, element.filled, element.width_mm, look)
        case Strokes():
            for line in element.polylines:
                _polyline(space, line, element.width_mm, look)


def _loops(
    space: Any,
    loops: Sequence[tuple[Vertex, ...]],
    filled: bool,
    width_mm: float,
    look: dict[str, Any],
) -> None:
    if filled:
        hatch = space.add_hatch(dxfattribs={**look, "hatch_style": _EVERY_HATCH_RING})
        hatch.rgb = tuple(look["true_color"].to_bytes(3, "big"))
        for loop in loops:
            hatch.paths.add_polyline_path([_vertex(vertex) for vertex in loop], is_closed=True)
    for loop in loops:
        _polyline(space, loop, width_mm, look, closed=True)


def _polyline(
    space: Any,
    vertices: Sequence[Vertex] | Sequence[Point],
    width_mm: float,
    look: dict[str, Any],
    *,
    closed: bool = False,
) -> None:
    wide = {**look, "const_width": round(width_mm, DECIMALS)} if width_mm else look
    drawn = space.add_lwpolyline((), close=closed, dxfattribs=wide)
    # all at once: one by one, the library spends most of its time on telling components apart
    given = np.array(vertices, dtype=float)
    x_y_widths_bulge = np.zeros((len(given), 5))
    # a bulge is no length: rounded as one it would bend the arc by a tenth of a micrometre
    x_y_widths_bulge[:, :2] = given[:, :2].round(DECIMALS) + 0.0
    if given.shape[1] > 2:
        x_y_widths_bulge[:, 4] = given[:, 2]
    drawn.lwpoints.set(x_y_widths_bulge)


def _arc_vertices(arc: Arc) -> tuple[Vertex, ...]:
    """Return an arc as two halves: a bulge grows without bound toward a full turn."""
    middle_deg = (arc.start_deg + arc.end_deg) / 2.0
    bulge = bulge_of(middle_deg - arc.start_deg)
    return tuple(
        (*dial_to_xy_mm(deg, arc.radius_mm, arc.centre_mm), turn)
        for deg, turn in ((arc.start_deg, bulge), (middle_deg, bulge), (arc.end_deg, 0.0))
    )


def _rounded(numbers: Sequence[float]) -> tuple[float, ...]:
    return tuple(round(number, DECIMALS) + 0.0 for number in numbers)


def _vertex(vertex: Vertex) -> tuple[float, ...]:
    # a bulge is no length: rounded as one it would bend the arc by a tenth of a micrometre
    return (*_rounded(vertex[:2]), vertex[2])
