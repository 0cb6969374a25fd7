"""Drawings as PDF pages: the page is exactly the drawing's box, and nothing asks to be scaled.

The same painting goes onto a canvas that somebody else has begun, which is how a record shows a face at true
size.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Any, Final

from gaugecore.drawing.elements import AnyElement, Arc, Circle, Drawing, Line, Outline, Strokes, Vertex
from gaugecore.drawing.layers import DECIMALS, HAIRLINE_MM, LAYERS
from gaugecore.drawing.ring import bow_of
from gaugecore.polar import Point
from gaugecore.units import mm_to_pt

#: PDF has no arcs. Bézier pieces this long are off by less than a millionth of the radius.
_LONGEST_PIECE_DEG: Final = 30.0
#: How reportlab and PDF call these.
_ROUND, _FLAT = 1, 0
_EVEN_ODD = 0


def to_pdf(drawings: Sequence[Drawing]) -> bytes:
    """Return drawings as one PDF file, a page each, in order.

    Parameters
    ----------
    drawings : sequence of Drawing
        At least one.

    Returns
    -------
    bytes
        The same drawings always give the same bytes; viewers are asked not to scale when printing.

    Raises
    ------
    ValueError
        If there are no drawings.
    """
    from reportlab.pdfgen.canvas import Canvas

    if not drawings:
        raise ValueError("a PDF file needs at least one drawing")
    stream = io.BytesIO()
    canvas = Canvas(stream, pageCompression=1, invariant=1)
    canvas.setTitle(" ".join(drawing.title for drawing in drawings[:1]))
    canvas.setViewerPreference("PrintScaling", "None")
    for drawing in drawings:
        canvas.setPageSize((mm_to_pt(drawing.box.width_mm), mm_to_pt(drawing.box.height_mm)))
        paint(canvas, drawing, left_mm=0.0, bottom_mm=0.0)
        canvas.showPage()
    with _binary_streams():
        canvas.save()
    return stream.getvalue()


@contextmanager
def _binary_streams() -> Iterator[None]:
    """Keep the library from writing compressed pages as text, which is slower and a quarter larger."""
    from reportlab import rl_config

    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def paint(canvas: Any, drawing: Drawing, *, left_mm: float, bottom_mm: float) -> None:
    """Paint a drawing at true size, the lower left corner of its box at a point of the page.

    Parameters
    ----------
    canvas : reportlab.pdfgen.canvas.Canvas
        Its state is the same afterwards.
    drawing : Drawing
        What to paint.
    left_mm, bottom_mm : float
        From the page's lower left corner.
    """
    canvas.saveState()
    canvas.translate(mm_to_pt(left_mm), mm_to_pt(bottom_mm))
    canvas.scale(mm_to_pt(1.0), mm_to_pt(1.0))
    canvas.setLineJoin(_ROUND)
    canvas.translate(-drawing.box.left_mm, -drawing.box.bottom_mm)
    pen = _Pen(canvas)
    for operation in LAYERS:
        drawn = (element for element in drawing.elements if element.operation is operation)
        for look, alike in groupby(drawn, key=_look):
            pen.draw(look, alike)
    canvas.restoreState()


@dataclass(frozen=True, slots=True)
class _Look:
    """How elements are painted; neighbours that are painted alike make one path."""

    colour: str
    width_mm: float
    line_cap: int
    filled: bool


def _look(element: AnyElement) -> _Look:
    filled = isinstance(element, (Circle, Outline)) and element.filled
    line_cap = _ROUND if isinstance(element, Strokes) else _FLAT
    return _Look(element.colour, element.width_mm, line_cap, filled)


class _Pen:
    """Puts elements on a canvas whose unit is 1 mm and whose origin is the pivot."""

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas

    def draw(self, look: _Look, elements: Iterable[AnyElement]) -> None:
        stroked = not look.filled or look.width_mm > 0.0
        if stroked:
            self._canvas.setStrokeColor(look.colour)
            self._canvas.setLineWidth(round(look.width_mm or HAIRLINE_MM, DECIMALS))
            self._canvas.setLineCap(look.line_cap)
        if look.filled:
            self._canvas.setFillColor(look.colour)
        path = self._canvas.beginPath()
        for element in elements:
            if look.filled and path.getCode():
                # each filled shape by itself: together they would leave holes where they meet
                self._put(path, look, stroked)
                path = self._canvas.beginPath()
            self._trace(path, element)
        self._put(path, look, stroked)

    def _put(self, path: Any, look: _Look, stroked: bool) -> None:
        self._canvas.drawPath(path, stroke=int(stroked), fill=int(look.filled), fillMode=_EVEN_ODD)

    def _trace(self, path: Any, element: AnyElement) -> None:
        match element:
            case Line():
                path.moveTo(*element.start_mm)
                path.lineTo(*element.end_mm)
            case Circle():
                self._arc(path, element.centre_mm, element.radius_mm, 0.0, 360.0)
                path.close()
            case Arc():
                span_deg = element.end_deg - element.start_deg
                self._arc(path, element.centre_mm, element.radius_mm, element.start_deg, span_deg)
            case Outline():
                for loop in element.loops:
                    self._loop(path, loop)
            case Strokes():
                for line in element.polylines:
                    path.moveTo(*line[0])
                    for point in line[1:]:
                        path.lineTo(*point)

    def _loop(self, path: Any, loop: tuple[Vertex, ...]) -> None:
        path.moveTo(*loop[0][:2])
        for (x, y, bulge), (next_x, next_y, _) in pairwise((*loop, loop[0])):
            if bulge:
                bow = bow_of((x, y), (next_x, next_y), bulge)
                self._arc(path, bow.centre_mm, bow.radius_mm, bow.start_deg, bow.span_deg, begun=True)
            else:
                path.lineTo(next_x, next_y)
        path.close()

    def _arc(
        self,
        path: Any,
        centre: Point,
        radius: float,
        start_deg: float,
        span_deg: float,
        *,
        begun: bool = False,
    ) -> None:
        """Trace an arc, from a dial angle on and clockwise, as curves."""
        from reportlab.pdfgen import pdfgeom

        # annotated as whole numbers in its stubs, meant for any
        to_curves: Any = pdfgeom.bezierArc
        box = (centre[0] - radius, centre[1] - radius, centre[0] + radius, centre[1] + radius)
        pieces = math.ceil(abs(span_deg) / _LONGEST_PIECE_DEG)
        for piece in range(pieces):
            # PDF counts counter-clockwise from three o'clock
            start = 90.0 - start_deg - span_deg * piece / pieces
            for curve in to_curves(*box, start, -span_deg / pieces):
                if not begun:
                    path.moveTo(*curve[:2])
                    begun = True
                path.curveTo(*curve[2:])
