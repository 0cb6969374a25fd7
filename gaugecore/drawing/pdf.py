"""Drawings as PDF pages: the page is exactly the drawing's box, and nothing asks to be scaled.

The same painting goes onto a canvas that somebody else has begun, which is how a record shows a face at true
size.
"""

from __future__ import annotations

import io
import math
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise
from threading import Lock
from typing import Any, Final

from gaugecore.drawing.elements import AnyElement, Arc, Circle, Drawing, Outline, Strokes, Vertex
from gaugecore.drawing.layers import DECIMALS, HAIRLINE_MM
from gaugecore.drawing.ring import bow_of
from gaugecore.drawing.runs import Run, runs_of
from gaugecore.polar import Point, bulge_of, dial_to_xy_mm
from gaugecore.units import mm_to_pt

#: PDF has no arcs. Bézier pieces this long are off by less than a millionth of the radius.
_LONGEST_PIECE_DEG: Final = 30.0
#: How reportlab and PDF call these.
_ROUND, _FLAT = 1, 0
_EVEN_ODD = 0
_SETTINGS: Final = Lock()


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
    with _quick_streams():
        canvas.save()
    return stream.getvalue()


class _Quickly:
    """Compresses pages lightly: a seventh larger than as the library would, in a sixth of the time."""

    pdfname = "FlateDecode"

    def encode(self, content: str | bytes) -> bytes:
        """Return the content of a stream compressed; the library calls this."""
        return zlib.compress(content.encode() if isinstance(content, str) else content, level=1)


@contextmanager
def _quick_streams() -> Iterator[None]:
    """Keep the library from writing compressed pages as text, and from compressing them hard."""
    from reportlab import rl_config
    from reportlab.pdfbase import pdfdoc

    # the settings are the whole library's, and drawings may be written by several threads
    with _SETTINGS:
        as_text, hard = rl_config.useA85, pdfdoc.PDFZCompress
        rl_config.useA85 = 0
        pdfdoc.PDFZCompress = _Quickly()  # type: ignore[assignment]
        try:
            yield
        finally:
            rl_config.useA85 = as_text
            pdfdoc.PDFZCompress = hard


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
    for run in runs_of(drawing):
        pen.draw(run)
    canvas.restoreState()


class _Pen:
    """Puts elements on a canvas whose unit is 1 mm and whose origin is the pivot."""

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas

    def draw(self, run: Run) -> None:
        """Paint elements that look alike: straight ones as one path, shapes each by itself.

        Together, filled shapes would leave holes where they meet.
        """
        from reportlab.lib.colors import HexColor

        first = run.first
        colour = HexColor(first.colour)
        self._canvas.setStrokeColor(colour)
        self._canvas.setFillColor(colour)
        self._canvas.setLineWidth(round(first.width_mm or HAIRLINE_MM, DECIMALS))
        self._canvas.setLineCap(_ROUND if isinstance(first, Strokes) else _FLAT)
        if run.straight:
            self._put(_straight_path(run), stroked=True, filled=False)
            return
        for element in run.elements:
            path = self._canvas.beginPath()
            self._trace(path, element)
            filled = isinstance(element, (Circle, Outline)) and element.filled
            self._put(path, stroked=not filled or element.width_mm > 0.0, filled=filled)

    def _put(self, path: Any, *, stroked: bool, filled: bool) -> None:
        self._canvas.drawPath(path, stroke=int(stroked), fill=int(filled), fillMode=_EVEN_ODD)

    def _trace(self, path: Any, element: AnyElement) -> None:
        match element:
            case Circle():
                self._arc(path, element.centre_mm, element.radius_mm, 0.0, 360.0)
                path.close()
            case Arc():
                span_deg = element.end_deg - element.start_deg
                self._arc(path, element.centre_mm, element.radius_mm, element.start_deg, span_deg)
            case Outline():
                for loop in element.loops:
                    self._loop(path, loop)

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
        if not begun:
            path.moveTo(*dial_to_xy_mm(start_deg, radius, centre))
        pieces = math.ceil(abs(span_deg) / _LONGEST_PIECE_DEG)
        piece_deg = span_deg / pieces
        # the control points of a piece lie on its tangents, this far from its ends
        reach = -4.0 / 3.0 * bulge_of(piece_deg) * radius
        for piece in range(pieces):
            one_deg, other_deg = (start_deg + piece_deg * at for at in (piece, piece + 1))
            path.curveTo(
                *dial_to_xy_mm(one_deg + 90.0, reach, dial_to_xy_mm(one_deg, radius, centre)),
                *dial_to_xy_mm(other_deg - 90.0, reach, dial_to_xy_mm(other_deg, radius, centre)),
                *dial_to_xy_mm(other_deg, radius, centre),
            )


def _straight_path(run: Run) -> Any:
    """Return straight pieces as one path.

    They are handed to the library as path operators (ISO 32000-1, 8.5.2): asked for one after the other, it
    spends most of a page's time on formatting them.
    """
    from reportlab.pdfgen.pathobject import PDFPathObject

    lines = run.line_texts(between_numbers=" ", between_points=" l ")
    return PDFPathObject(["n", *(f"{line} l".replace("l", "m", 1) for line in lines)])
