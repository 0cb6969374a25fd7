"""The halo round what is selected on the dial."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import product

from PySide6.QtCore import QLineF, QPoint, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen, QPixmap

from gaugecore.drawing.elements import AnyElement, Line, Strokes
from needlewright.ui.letters import Letters
from needlewright.ui.painting import Recolour, add_to_path, own_colour, stretches
from needlewright.ui.view import Sight

#: How far the halo goes beyond what it surrounds, and how much of it is seen.
_REACH_PX, _OPACITY = 2.5, 110 / 255


class Halo:
    """Keeps the picture of the halo, so that a needle that turns does not paint it again.

    Its pieces are painted one by one, opaque, and the whole is laid on translucent: to work out the outline
    of five hundred broad lines that overlap takes a painter longer than all the rest of the dial. For the
    same reason lines have square ends, since round ones take fifteen times as long, and a text is surrounded
    by its own pixels.
    """

    def __init__(self) -> None:
        self._elements: Sequence[AnyElement] = ()
        self._recolour: Recolour = own_colour
        self._picture: QPixmap | None = None
        self._key: tuple[Sight, QColor] | None = None

    def show(self, elements: Sequence[AnyElement], recolour: Recolour = own_colour) -> None:
        """Surround other elements, which are seen in these colours."""
        self._elements, self._recolour = elements, recolour
        self._picture = None

    def paint(self, painter: QPainter, sight: Sight, colour: QColor, letters: Letters) -> None:
        """Paint the halo over a picture, the painter's units those of the window.

        Parameters
        ----------
        painter : QPainter
        sight : Sight
            How the picture is looked at.
        colour : QColor
            Of the halo.
        letters : Letters
            The texts in the picture.
        """
        if not self._elements:
            return
        if self._picture is None or self._key != (sight, colour):
            self._picture, self._key = self._painted(sight, colour, letters), (sight, colour)
        painter.setOpacity(_OPACITY)
        painter.drawPixmap(-sight.off, self._picture)
        painter.setOpacity(1.0)

    def _painted(self, sight: Sight, colour: QColor, letters: Letters) -> QPixmap:
        picture = sight.picture(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        others = []
        for element in self._elements:
            pixels = self._pixels(element, letters)
            if pixels is None:
                others.append(element)
            else:
                _lay_round(painter, *pixels, _offsets(_REACH_PX * sight.ratio))
        if len(others) < len(self._elements):  # texts came in colours of their own
            painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_SourceIn)
            painter.fillRect(picture.rect(), colour)
            painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_SourceOver)
        painter.setTransform(sight.transform)
        width_mm = max(element.width_mm for element in self._elements)
        _line(painter, others, QPen(colour, width_mm + 2.0 * _REACH_PX / sight.view.px_per_mm))
        painter.end()
        picture.setDevicePixelRatio(sight.ratio)
        return picture

    def _pixels(self, element: AnyElement, letters: Letters) -> tuple[QPoint, QImage] | None:
        if not isinstance(element, Strokes):
            return None
        (piece,) = stretches([element], recolour=self._recolour)
        return letters.pixels(piece)


def _lay_round(painter: QPainter, corner: QPoint, pixels: QImage, offsets: Sequence[QPoint]) -> None:
    for offset in offsets:
        painter.drawImage(corner + offset, pixels)


def _line(painter: QPainter, elements: Sequence[AnyElement], pen: QPen) -> None:
    pen.setCapStyle(Qt.PenCapStyle.SquareCap)
    painter.setPen(pen)
    lines = [element for element in elements if isinstance(element, Line)]
    painter.drawLines([QLineF(*line.start_mm, *line.end_mm) for line in lines])
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    painter.setPen(pen)
    for element in elements:
        if not isinstance(element, Line):
            path = QPainterPath()
            add_to_path(element, path)
            painter.drawPath(path)


@lru_cache(maxsize=8)
def _offsets(reach_px: float) -> tuple[QPoint, ...]:
    """Return the shifts of a thing that together cover all that is near it."""
    most = int(reach_px)
    found = []
    for x, y in product(range(-most, most + 1), repeat=2):
        away2 = x * x + y * y
        # every second pixel is enough inside, where strokes broader than one close the gaps
        if away2 <= reach_px**2 and ((x + y) % 2 == 0 or away2 > (reach_px - 1.0) ** 2):
            found.append(QPoint(x, y))
    return tuple(found)
