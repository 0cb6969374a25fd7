"""One dial three times, side by side: as paper, as a cut sheet, and lit by night, the needle over each."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QEvent, QPointF, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import (
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPalette,
    QPixmap,
    QResizeEvent,
    QTransform,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from gaugecore.drawing.elements import Drawing
from gaugecore.panel.document import Instrument
from needlewright.ui.finish import Finish, recolour
from needlewright.ui.overlays import paint_sheen
from needlewright.ui.painted_face import PaintedFace
from needlewright.ui.painting import Stretch, own_colour, paint, stretches
from needlewright.ui.pixels import off_pixel, pixels_under
from needlewright.ui.translation import capital, in_words
from needlewright.ui.view import View

_ROOM_PX, _CAPTION_PX = 8.0, 24.0
#: Ways to lay three out: how many stand in each row.
_ROWS = ((3,), (2, 1), (1, 1, 1))
_KEYS = {Qt.Key.Key_1: 0, Qt.Key.Key_2: 1, Qt.Key.Key_3: 2}


class FinishCompare(QWidget):
    """Shows one dial in every finish.

    Signals
    -------
    picked : Finish
        One of them was clicked, or its number pressed: the user wants to see it alone.
    """

    picked = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(280, 240)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(self.tr("The dial in every finish, side by side"))
        self.setToolTip(self.tr("Click one, or press 1, 2 or 3, to see it alone"))
        self._face: Drawing | None = None
        self._faces = {finish: PaintedFace() for finish in Finish}
        self._picture: QPixmap | None = None
        self._pictured_at = QPointF(), 0.0  # how it lies on the screen's own pixels
        self._needle: list[Stretch] = []
        self._turned: tuple[tuple[float, float], ...] = ()

    def show_dial(self, instrument: Instrument | None, face: Drawing | None, needle: Drawing | None) -> None:
        """Show a face and its needle; None for an empty desk."""
        self._face = face
        kept = [element for element in face.elements if element.part != "caption"] if face is not None else []
        for finish, painted in self._faces.items():
            sheen = partial(paint_sheen, elements=kept) if finish is Finish.ACRYLIC else None
            painted.show(kept, recolour(finish, instrument) or own_colour, sheen)
        self._needle = stretches(needle.elements) if needle is not None else []
        self._repaint()

    def turn(self, *needles: tuple[float, float]) -> None:
        """Turn the needles: dial angle and size of each, the lowest first."""
        self._turned = needles
        self.update()

    def places(self) -> dict[Finish, QRectF]:
        """Return where each finish is shown: in the rows that show them largest."""
        width, height = float(self.width()), float(self.height())
        rows = max(_ROWS, key=lambda rows: min(width / max(rows), height / len(rows) - _CAPTION_PX))
        across, down = width / max(rows), height / len(rows)
        places = [
            QRectF((width - count * across) / 2 + column * across, row * down, across, down)
            for row, count in enumerate(rows)
            for column in range(count)
        ]
        return dict(zip(Finish, places, strict=True))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the three dials from their picture, then their needles and names."""
        painter = QPainter(self)
        off, ratio = off_pixel(painter), self.devicePixelRatioF()
        if self._picture is None or self._pictured_at != (off, ratio):
            self._picture, self._pictured_at = self._paint_faces(off, ratio), (off, ratio)
        painter.drawPixmap(-off, self._picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._face is not None:
            for finish, place in self.places().items():
                self._paint_over(painter, finish, place)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Paint the dials anew, as large as they go."""
        self._repaint()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the palette between light and dark."""
        self._repaint()
        super().changeEvent(event)

    def _repaint(self) -> None:
        self._picture = None
        self.update()

    def _paint_faces(self, off: QPointF, ratio: float) -> QPixmap:
        picture = QPixmap(pixels_under(self.size(), ratio))
        picture.fill(self.palette().color(QPalette.ColorRole.AlternateBase))
        if self._face is not None:
            painter = QPainter(picture)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            for finish, place in self.places().items():
                transform = self._transform(place) * QTransform.fromTranslate(off.x(), off.y())
                transform *= QTransform.fromScale(ratio, ratio)
                self._faces[finish].paint(painter, transform, picture.size())
            painter.end()
        picture.setDevicePixelRatio(ratio)
        return picture

    def _paint_over(self, painter: QPainter, finish: Finish, place: QRectF) -> None:
        assert self._face is not None
        transform = self._transform(place)
        foot_px = transform.map(QPointF(0.0, self._face.box.bottom_mm)).y()
        painter.setPen(self.palette().color(QPalette.ColorRole.Text))
        caption = QRectF(place.left(), foot_px, place.width(), _CAPTION_PX)
        painter.drawText(caption, Qt.AlignmentFlag.AlignCenter, capital(in_words(finish)))
        painter.save()
        painter.setTransform(transform)
        for dial_deg, scale in self._turned:
            painter.save()
            painter.rotate(-dial_deg)  # the sheet's y runs up, so clockwise is negative here
            painter.scale(scale, scale)
            paint(painter, self._needle, lambda operation: True)
            painter.restore()
        painter.restore()

    def _transform(self, place: QRectF) -> QTransform:
        """Return the transform from sheet to this widget for the dial at a place."""
        assert self._face is not None
        size = QSizeF(place.width(), place.height() - _CAPTION_PX)
        view = View().fitted(self._face.box, size, _ROOM_PX)
        return view.transform(size) * QTransform.fromTranslate(place.left(), place.top())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Pick what was clicked."""
        for finish, place in self.places().items():
            if place.contains(event.position()):
                self.picked.emit(finish)
                return

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Pick by number."""
        at = _KEYS.get(Qt.Key(event.key()))
        if at is None:
            super().keyPressEvent(event)
        else:
            self.picked.emit(list(Finish)[at])
