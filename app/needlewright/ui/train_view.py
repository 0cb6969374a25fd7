"""The train as a picture that moves with the needle on the canvas."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QSizePolicy, QWidget

from gaugecore.drawing.elements import Box
from gaugecore.face.scale import angle_deg, angle_range_deg
from gaugecore.movement.reach import movement_deg, reach
from gaugecore.movement.train import CrankLink, Direct, GearPair
from gaugecore.movement.train_picture import picture_train
from gaugecore.panel.document import Instrument
from needlewright.ui.painting import paint, stretches
from needlewright.ui.translation import with_minus

_ROOM_PX = 10.0
_WORDS_PX = 20.0

_Train = Direct | GearPair | CrankLink


def shaft_deg(instrument: Instrument, value: float) -> float | None:
    """Return how far the movement has turned from its middle to show a value; None: out of its reach."""
    scale = instrument.face.scale
    turned_deg = angle_deg(scale, value) - sum(angle_range_deg(scale)) / 2.0
    middle_deg = _middle_deg(instrument.train, instrument.movement.travel_deg)
    return movement_deg(instrument.train, middle_deg + turned_deg, instrument.movement.travel_deg)


@lru_cache(maxsize=64)  # the same for every value under the needle
def _middle_deg(train: _Train, travel_deg: float) -> float:
    reached = reach(train, travel_deg)
    return (reached.low_deg + reached.high_deg) / 2.0


class TrainView(QWidget):
    """Shows movement and needle shaft, and what lies between them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setMinimumHeight(120)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(self.tr("The train, as the needle stands"))
        self._train: _Train | None = None
        self.shaft_deg: float | None = None

    def show_train(self, instrument: Instrument | None, value: float) -> None:
        """Show the train of an instrument with its needle on a value."""
        self._train = instrument.train if instrument is not None else None
        self.shaft_deg = shaft_deg(instrument, value) if instrument is not None else None
        self.setAccessibleDescription(self._words())
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the train as large as it goes, and say below it how the movement stands."""
        if self._train is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        drawing = picture_train(self._train, self.shaft_deg or 0.0)
        ink = self.palette().color(QPalette.ColorRole.Text).name()
        painter.save()
        self._look_at(painter, drawing.box)
        paint(painter, stretches(drawing.elements, recolour=lambda _: ink), lambda _: True)
        painter.restore()
        painter.setPen(self.palette().color(QPalette.ColorRole.PlaceholderText))
        foot = QRectF(0, self.height() - _WORDS_PX, self.width(), _WORDS_PX)
        painter.drawText(foot, Qt.AlignmentFlag.AlignCenter, self._words())

    def _look_at(self, painter: QPainter, box: Box) -> None:
        room_px = self.width() - 2 * _ROOM_PX, self.height() - 2 * _ROOM_PX - _WORDS_PX
        px_per_mm = max(min(room_px[0] / box.width_mm, room_px[1] / box.height_mm), 0.1)
        painter.translate(self.width() / 2, _ROOM_PX + room_px[1] / 2)
        painter.scale(px_per_mm, -px_per_mm)
        painter.translate(-(box.left_mm + box.right_mm) / 2, -(box.bottom_mm + box.top_mm) / 2)

    def _words(self) -> str:
        if self.shaft_deg is None:
            return self.tr("The movement does not reach this value through this train.")
        turned = with_minus(f"{round(self.shaft_deg, 1) + 0.0:.1f}")  # no minus before a zero
        if isinstance(self._train, Direct):
            return self.tr("Needle on the movement: {0}° from its middle").format(turned)
        return self.tr("Needle left, movement right: {0}° from its middle").format(turned)
