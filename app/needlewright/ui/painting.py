"""Paint a drawing on the screen: one more writer of the same elements, so what is seen is what is cut.

The painter's transform makes millimetres of its units and turns y up; nothing here knows about pixels.
Elements in a row that look alike become one path, since a painter is quicker with few paths than with
many.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache, singledispatch
from itertools import pairwise

from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPainterPathStroker, QPen, QTransform

from gaugecore.drawing.elements import (
    AnyElement,
    Arc,
    Box,
    Circle,
    Drawing,
    Line,
    Operation,
    Outline,
    Strokes,
    Vertex,
)
from gaugecore.drawing.layers import HAIRLINE_MM, LAYERS
from gaugecore.drawing.polylines import Polylines
from gaugecore.polar import Point, bulge_of, dial_to_xy_mm, span_of_bulge, xy_mm_to_dial

#: Longest piece of an arc that is one curve; with these a line is within 4 % of a pixel's shade of the truth.
_PIECE_DEG = 15.0
#: Furthest that the edge of a letter may be from the truth; a tenth of a pixel at twenty times true size.
_FLAT_MM = 0.005
#: A millionth of a millimetre.
_DUST_DECIMALS = 6


@dataclass(frozen=True, slots=True)
class _Look:
    """What elements must share to become one path."""

    operation: Operation
    width_mm: float
    colour: str
    filled: bool
    lined: bool
    lettered: bool


@dataclass(frozen=True, slots=True)
class Stretch:
    """Elements in a row that look alike, as one path.

    Attributes
    ----------
    operation : Operation
        What happens to them.
    path : QPainterPath
        Their lines. Text that stays as it is has the same path object, drawing after drawing.
    pen, brush : QPen, QBrush
        How they look.
    lettered : bool
        Whether it is one text, as what its pen covers.
    """

    operation: Operation
    path: QPainterPath
    pen: QPen
    brush: QBrush
    lettered: bool = False


#: By identity of the member: hashing one runs Python code, at every element of every frame.
_LAYER_OF = {id(operation): at for at, operation in enumerate(LAYERS)}


def _layer(element: AnyElement) -> int:
    return _LAYER_OF[id(element.operation)]


Recolour = Callable[[AnyElement], str]
Drawn = tuple[AnyElement, str]
"""An element, and the colour it is drawn in."""
Run = tuple[Stretch, int]
"""A stretch, and of how many elements it is."""


def own_colour(element: AnyElement) -> str:
    """Return the colour an element has on paper."""
    return element.colour


def stretches(elements: Iterable[AnyElement], *, recolour: Recolour = own_colour) -> list[Stretch]:
    """Return elements as few paths, in the order of the writers: by operation, then as drawn.

    Parameters
    ----------
    elements : iterable of elements
        What to draw.
    recolour : callable
        The colour each is drawn in.
    """
    return [piece for piece, _ in runs(drawn(elements, recolour))]


def drawn(elements: Iterable[AnyElement], recolour: Recolour = own_colour) -> list[Drawn]:
    """Return elements with their colours, in the order they are painted in."""
    return [(element, recolour(element)) for element in sorted(elements, key=_layer)]


def runs(found: Sequence[Drawn]) -> list[Run]:
    """Return stretches of what is painted in this order, each with how many elements it is made of."""
    made: list[tuple[_Look, QPainterPath]] = []
    starts: list[int] = []
    before: _Look | None = None
    path = QPainterPath()
    for at, (element, colour) in enumerate(found):
        if isinstance(element, Line) and before is not None and _goes_on(element, colour, before):
            path.moveTo(*element.start_mm)
            path.lineTo(*element.end_mm)
            continue
        look = _look(element, colour)
        if look.filled or look != before:
            # outlines fill by the even-odd rule, so two of them in one path could cut holes into each other
            path = _filled(element) if look.filled else QPainterPath()
            made.append((look, path))
            starts.append(at)
        if not look.filled:
            path.addPath(_shape(element))
        before = look
    return [
        (Stretch(look.operation, path, _pen(look), _brush(look), look.lettered), end - start)
        for (look, path), (start, end) in zip(made, pairwise((*starts, len(found))), strict=True)
    ]


def paint(painter: QPainter, pieces: Iterable[Stretch], shown: Callable[[Operation], bool]) -> None:
    """Paint stretches whose operation is shown."""
    for piece in pieces:
        if shown(piece.operation):
            paint_piece(painter, piece)


def paint_piece(painter: QPainter, piece: Stretch) -> None:
    """Paint one stretch."""
    painter.setPen(piece.pen)
    painter.setBrush(piece.brush)
    painter.drawPath(piece.path)


def paint_drawing(painter: QPainter, drawing: Drawing) -> None:
    """Paint a whole drawing as the writers write it."""
    paint(painter, stretches(drawing.elements), lambda _: True)


def page_transform(box: Box, px_per_mm: float) -> QTransform:
    """Return the transform that puts a page's top left corner on the origin, y down, at a scale."""
    return QTransform(px_per_mm, 0, 0, -px_per_mm, -box.left_mm * px_per_mm, box.top_mm * px_per_mm)


@singledispatch
def add_to_path(element: AnyElement, path: QPainterPath) -> None:
    """Add an element's line to a path, in sheet coordinates."""
    raise TypeError(f"no way to paint {type(element).__name__}")


@add_to_path.register
def _(element: Line, path: QPainterPath) -> None:
    path.moveTo(*element.start_mm)
    path.lineTo(*element.end_mm)


@add_to_path.register
def _(element: Arc, path: QPainterPath) -> None:
    path.moveTo(*dial_to_xy_mm(element.start_deg, element.radius_mm, element.centre_mm))
    _add_arc(path, element.centre_mm, element.radius_mm, element.start_deg, element.end_deg)


@add_to_path.register
def _(element: Circle, path: QPainterPath) -> None:
    path.moveTo(*dial_to_xy_mm(0.0, element.radius_mm, element.centre_mm))
    _add_arc(path, element.centre_mm, element.radius_mm, 0.0, 360.0)
    path.closeSubpath()


@add_to_path.register
def _(element: Outline, path: QPainterPath) -> None:
    for loop in element.loops:
        path.moveTo(*loop[0][:2])
        for vertex, following in zip(loop, (*loop[1:], loop[0]), strict=True):
            _go_on(path, vertex, following[:2])
        path.closeSubpath()


@add_to_path.register
def _(element: Strokes, path: QPainterPath) -> None:
    _add_polylines(element.polylines, path)


def _add_polylines(drawn: Polylines, path: QPainterPath) -> None:
    for line in drawn:
        path.moveTo(*line[0])
        for point in line[1:]:
            path.lineTo(*point)
        if len(line) == 1:  # a dot: Qt draws nothing for a line without length, so it gets a thousandth
            path.lineTo(line[0][0] + 0.001, line[0][1])


def _go_on(path: QPainterPath, vertex: Vertex, to_mm: Point) -> None:
    x_mm, y_mm, bulge = vertex
    if bulge == 0:
        path.lineTo(*to_mm)
        return
    across_mm, up_mm = to_mm[0] - x_mm, to_mm[1] - y_mm
    # the centre lies on the chord's perpendicular, (1 - b²) / 4b chords from its middle
    away = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre_mm = (x_mm + across_mm / 2.0 - up_mm * away, y_mm + up_mm / 2.0 + across_mm * away)
    start_deg, radius_mm = xy_mm_to_dial(x_mm - centre_mm[0], y_mm - centre_mm[1])
    _add_arc(path, centre_mm, radius_mm, start_deg, start_deg + span_of_bulge(bulge))


def _add_arc(
    path: QPainterPath, centre_mm: Point, radius_mm: float, start_deg: float, end_deg: float
) -> None:
    """Go on along an arc, in pieces so short that Qt's stroker stays true; its own arcs leave a broad line.

    The handles of a piece are 4/3 tan(span / 4) radii long, the cubic that fits an arc best (textbook).
    """
    count = max(1, math.ceil(abs(end_deg - start_deg) / _PIECE_DEG))
    for at in range(count):
        from_deg, to_deg = (start_deg + (end_deg - start_deg) * end / count for end in (at, at + 1))
        handle_mm = -4.0 / 3.0 * bulge_of(to_deg - from_deg) * radius_mm
        leaving = dial_to_xy_mm(from_deg + 90.0, handle_mm)
        arriving = dial_to_xy_mm(to_deg + 90.0, handle_mm)
        x0, y0 = dial_to_xy_mm(from_deg, radius_mm, centre_mm)
        x1, y1 = dial_to_xy_mm(to_deg, radius_mm, centre_mm)
        path.cubicTo(x0 + leaving[0], y0 + leaving[1], x1 - arriving[0], y1 - arriving[1], x1, y1)


@lru_cache(maxsize=1024)
def _shape(element: AnyElement) -> QPainterPath:
    """Return the line of an element as a path of its own, not to be changed; arcs take long to work out."""
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    add_to_path(element, path)
    return path


def _filled(element: AnyElement) -> QPainterPath:
    return _inked(element) if isinstance(element, Strokes) else _shape(element)


@lru_cache(maxsize=2048)
def _inked(element: Strokes) -> QPainterPath:
    """Return what the pen covers in writing a text: to fill this is three times as quick as to write it."""
    drawn = element.polylines
    if not drawn:
        return QPainterPath()
    # a text that moves is the same text, but for the dust of its coordinates
    from_its_start = (drawn.points_mm - drawn.points_mm[0]).round(_DUST_DECIMALS)
    ink = _outline(Polylines(from_its_start, drawn.lengths), element.width_mm or HAIRLINE_MM)
    return ink.translated(*drawn.points_mm[0].tolist())


@lru_cache(maxsize=1024)
def _outline(drawn: Polylines, width_mm: float) -> QPainterPath:
    line = QPainterPath()
    _add_polylines(drawn, line)
    stroker = QPainterPathStroker()
    stroker.setWidth(width_mm)
    stroker.setCapStyle(Qt.PenCapStyle.RoundCap)
    stroker.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    stroker.setCurveThreshold(_FLAT_MM)
    ink = stroker.createStroke(line)
    ink.setFillRule(Qt.FillRule.WindingFill)
    return ink


def _look(element: AnyElement, colour: str) -> _Look:
    # lettering comes as what its pen covers, see `_inked`
    lettered = isinstance(element, Strokes)
    filled = lettered or (isinstance(element, Circle | Outline) and element.filled)
    return _Look(
        operation=element.operation,
        width_mm=element.width_mm,
        colour=colour,
        filled=filled,
        lined=not lettered and (not filled or element.width_mm > 0),
        lettered=lettered,
    )


def _goes_on(line: Line, colour: str, look: _Look) -> bool:
    """Return whether a line looks like what came before: by far the most of a dense dial are such lines."""
    return (
        look.lined
        and not look.filled
        and look.width_mm == line.width_mm
        and look.colour == colour
        and look.operation is line.operation
    )


@lru_cache(maxsize=256)
def _pen(look: _Look) -> QPen:
    if not look.lined:
        return QPen(Qt.PenStyle.NoPen)
    return QPen(
        QColor(look.colour),
        look.width_mm or HAIRLINE_MM,
        Qt.PenStyle.SolidLine,
        Qt.PenCapStyle.FlatCap,
        Qt.PenJoinStyle.RoundJoin,
    )


@lru_cache(maxsize=256)
def _brush(look: _Look) -> QBrush:
    return QBrush(QColor(look.colour)) if look.filled else QBrush(Qt.BrushStyle.NoBrush)
