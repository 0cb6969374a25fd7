"""Texts as pixels.

Lettering is by far the dearest to paint, and of all things on a dial it changes least: while a hand drags
something else, the same text comes again at the same place. So a text that comes again is painted once more,
on its own, and its pixels are laid on after that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QTransform

from needlewright.ui.painting import Stretch, paint_piece

#: A painter tells this many places apart within a pixel; what lies closer together has the same shades.
_PLACES_PER_PX = 256


@dataclass(frozen=True, slots=True)
class _Text:
    """A text in its colour: its pixels, and where they lie from the origin."""

    path: QPainterPath
    colour: QColor
    pixels: QImage
    corner: QPoint


class Letters:
    """The pixels of texts, as long as they are looked at equally close.

    A view that is shifted by whole pixels shifts them along.
    """

    def __init__(self) -> None:
        self._transform = QTransform()
        self._size = QSize()
        #: By the identity of the path, which is the same object as long as the text is the same.
        self._kept: dict[int, _Text] = {}
        #: What the picture before showed, likewise.
        self._met: set[int] = set()
        self._grain: tuple[float, int, int] = (0.0, 0, 0)
        self._origin = QPoint()

    def begin(self, transform: QTransform, size: QSize) -> None:
        """Begin a picture of a size, with the transform from sheet to its pixels."""
        x, y = (math.floor(shift * _PLACES_PER_PX) for shift in (transform.dx(), transform.dy()))
        grain = (transform.m11(), x % _PLACES_PER_PX, y % _PLACES_PER_PX)
        if grain != self._grain:
            self._kept, self._grain = {}, grain
        self._origin = QPoint(x // _PLACES_PER_PX, y // _PLACES_PER_PX)
        self._transform, self._size = transform, size

    def end(self, pieces: list[Stretch]) -> None:
        """End a picture of these: what is not among them is forgotten."""
        names = {id(piece.path) for piece in pieces if piece.lettered}
        self._kept = {name: text for name, text in self._kept.items() if name in names}
        self._met = names

    def pixels_of_known(self, piece: Stretch) -> tuple[QPoint, QImage] | None:
        """Return the `pixels` of a text that the picture before showed too; of one that moves, none.

        What a hand drags is somewhere else in each picture, and so is quicker painted there at once.
        """
        return self.pixels(piece) if id(piece.path) in self._met else None

    def pixels(self, piece: Stretch) -> tuple[QPoint, QImage] | None:
        """Return the pixels of a text and where they lie in the picture; none where nothing of it is seen.

        None: it is no text, or so large that its pixels are not worth keeping.
        """
        if not piece.lettered:
            return None
        text = self._kept.get(id(piece.path))
        if text is None or text.colour != piece.brush.color():
            place = self._transform.mapRect(piece.path.controlPointRect()).toAlignedRect()
            place.adjust(-1, -1, 1, 1)
            if place.width() > self._size.width() or place.height() > self._size.height():
                return None
            if not place.intersects(QRect(QPoint(), self._size)):
                return place.topLeft(), QImage()
            pixels = self._painted(piece, place)
            text = _Text(piece.path, piece.brush.color(), pixels, place.topLeft() - self._origin)
            self._kept[id(piece.path)] = text
        return text.corner + self._origin, text.pixels

    def _painted(self, piece: Stretch, place: QRect) -> QImage:
        pixels = QImage(place.size(), QImage.Format.Format_ARGB32_Premultiplied)
        pixels.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixels)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setTransform(self._transform * QTransform.fromTranslate(-place.left(), -place.top()))
        paint_piece(painter, piece)
        painter.end()
        return pixels
