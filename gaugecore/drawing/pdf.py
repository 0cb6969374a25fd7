"""Drawings as PDF pages: the page is exactly the drawing's box, and nothing asks to be scaled.

The same painting goes onto a canvas that somebody else has begun, which is how a record shows a face at true
size.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise
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
    pen = _Pen(canvas, drawing.box.left_mm, drawing.box.bottom_mm)
    for operation in LAYERS:
        for element in drawing.elements:
            if element.operation is operation:
                pen.draw(element)
    canvas.restoreState()


class _Pen:
    """Puts elements on a canvas whose unit is 1 mm."""

    def __init__(self, canvas: Any, left_mm: float, bottom_mm: float) -> None:
        self._canvas = canvas
        self._left_mm = left_mm
        self._bottom_mm = bottom_mm

    def draw(self, element: AnyElement) -> None:
        filled = isinstance(element, (Circle, Outline)) and element.filled
        stroked = not filled or element.width_mm > 0.0
        if stroked:
            self._canvas.setStrokeColor(element.colour)
            self._canvas.setLineWidth(round(element.width_mm or HAIRLINE_MM, DECIMALS))
            self._canvas.setLineCap(_ROUND if isinstance(element, Strokes) else _FLAT)
        if filled:
            self._canvas.setFillColor(element.colour)
        path = self._canvas.beginPath()
        self._trace(path, element)
        self._canvas.drawPath(path, stroke=int(stroked), fill=int(filled), fillMode=_EVEN_ODD)

    def _trace(self, path: Any, element: AnyElement) -> None:
        match element:
            case Line():
                path.moveTo(*self._at(element.start_mm))
                path.lineTo(*self._at(element.end_mm))
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
                    path.moveTo(*self._at(line[0]))
                    for point in line[1:]:
                        path.lineTo(*self._at(point))

    def _loop(self, path: Any, loop: tuple[Vertex, ...]) -> None:
        path.moveTo(*self._at(loop[0][:2]))
        for (x, y, bulge), (next_x, next_y, _) in pairwise((*loop, loop[0])):
            if bulge:
                bow = bow_of((x, y), (next_x, next_y), bulge)
                self._arc(path, bow.centre_mm, bow.radius_mm, bow.start_deg, bow.span_deg, begun=True)
            else:
                path.lineTo(*self._at((next_x, next_y)))
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
                points = [self._at((curve[i], curve[i + 1])) for i in range(0, 8, 2)]
                if not begun:
                    path.moveTo(*points[0])
                    begun = True
                path.curveTo(*points[1], *points[2], *points[3])

    def _at(self, point_mm: Point) -> Point:
        return round(point_mm[0] - self._left_mm, DECIMALS), round(point_mm[1] - self._bottom_mm, DECIMALS)
