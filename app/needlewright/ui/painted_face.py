"""A drawing as pixels, made anew only when it looks different, and then as little of it as can be."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from PySide6.QtCore import QSize
from PySide6.QtGui import QColor, QPainter, QPixmap, QTransform

from gaugecore.drawing.elements import AnyElement, Operation
from needlewright.ui.letters import Letters
from needlewright.ui.painting import Recolour, Stretch, own_colour, paint_piece
from needlewright.ui.stretcher import Stretcher
from needlewright.ui.view import Sight


class PaintedFace:
    """Keeps the picture of a drawing, and that of what lies below all that changes.

    Attributes
    ----------
    letters : Letters
        The pixels of its texts, as they were painted last.
    """

    def __init__(self) -> None:
        self._stretcher = Stretcher()
        self._pieces: list[Stretch] = []
        self._over: Callable[[QPainter], None] | None = None
        self._hidden: frozenset[Operation] = frozenset()
        self._picture: QPixmap | None = None
        self._painted: list[Stretch] = []
        self._below: QPixmap | None = None
        self._below_count = 0
        self._key: tuple[Sight, QColor] | None = None
        self.letters = Letters()

    def show(
        self,
        elements: Iterable[AnyElement],
        recolour: Recolour = own_colour,
        over: Callable[[QPainter], None] | None = None,
    ) -> None:
        """Take another drawing to paint.

        Parameters
        ----------
        elements : iterable of elements
            Its elements.
        recolour : callable
            The colour each is painted in.
        over : callable or None
            Paints something over all of it, in millimetres.
        """
        self._pieces, self._over = self._stretcher.stretches(elements, recolour), over
        self._picture = None

    def hide(self, hidden: frozenset[Operation]) -> None:
        """Leave out all elements of some operations."""
        self._hidden = hidden
        self._picture = None

    def seen(self, sight: Sight, ground: QColor) -> QPixmap:
        """Return the picture on a ground; the one before when nothing has changed."""
        if self._picture is None or self._key != (sight, ground):
            self._picture = self._paint(sight, ground)
        return self._picture

    def paint(self, painter: QPainter, transform: QTransform, size: QSize) -> None:
        """Paint the drawing onto a picture of a size, with the transform from sheet to its pixels."""
        pieces = self._shown()
        self.letters.begin(transform, size)
        self._lay_on(painter, pieces, transform)
        self.letters.end(pieces)
        if self._over is not None:
            self._over(painter)

    def _shown(self) -> list[Stretch]:
        return [piece for piece in self._pieces if piece.operation not in self._hidden]

    def _paint(self, sight: Sight, ground: QColor) -> QPixmap:
        pieces = self._shown()
        self.letters.begin(sight.transform, sight.pixels)
        picture = self._begun(pieces, sight, ground)
        painter = _painter(picture)
        self._lay_on(painter, pieces[self._below_count :], sight.transform)
        self.letters.end(pieces)
        if self._over is not None:
            self._over(painter)
        painter.end()
        picture.setDevicePixelRatio(sight.ratio)
        return picture

    def _begun(self, pieces: list[Stretch], sight: Sight, ground: QColor) -> QPixmap:
        """Return a picture on which what was there before and lies below all that changes is painted."""
        same = self._key == (sight, ground)
        alike = _alike(self._painted, pieces) if same else 0
        self._key, self._painted = (sight, ground), pieces
        if not alike:
            self._below, self._below_count = None, 0
            return sight.picture(ground)
        if self._below is None or alike < self._below_count:
            self._below, self._below_count = sight.picture(ground), 0
        if alike > self._below_count:
            painter = _painter(self._below)
            self._lay_on(painter, pieces[self._below_count : alike], sight.transform)
            painter.end()
            self._below_count = alike
        return self._below.copy()

    def _lay_on(self, painter: QPainter, pieces: list[Stretch], transform: QTransform) -> None:
        painter.setTransform(transform)
        for piece in pieces:
            pixels = self.letters.pixels_of_known(piece)
            if pixels is None:
                paint_piece(painter, piece)
            else:
                painter.resetTransform()
                painter.drawImage(*pixels)
                painter.setTransform(transform)


def _painter(picture: QPixmap) -> QPainter:
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    return painter


def _alike(before: list[Stretch], now: list[Stretch]) -> int:
    """Return how many at the start are the same objects."""
    pairs = enumerate(zip(before, now, strict=False))
    return next((at for at, (one, other) in pairs if one is not other), min(len(before), len(now)))
