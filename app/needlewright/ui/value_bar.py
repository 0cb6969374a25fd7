"""The value under the needle: a slider over the scale and a field to type into."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSlider, QWidget

from gaugecore.face.scale import angle_deg, angle_range_deg, value_at, value_range
from needlewright.ui.desk import Desk
from needlewright.ui.font_size import with_letters
from needlewright.ui.number_box import LoneNumber
from needlewright.ui.translation import with_minus

_STEPS = 1000


def _suffix(unit: str) -> str:
    """Return a unit as it stands behind a number: the degree sign close to it, all others apart."""
    return unit if unit == "°" or not unit else f" {unit}"


class _Shown(NamedTuple):
    """What the bar shows of an instrument."""

    low: float
    high: float
    unit: str
    value: float
    dial_deg: float
    held: bool


class ValueBar(QWidget):
    """Moves the needle on the canvas."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._held_deg: float | None = None
        self._shown: _Shown | None = None
        self.setEnabled(False)
        label = QLabel(self.tr("Needle at"))
        self._slider = QSlider(Qt.Orientation.Horizontal)
        self._slider.setRange(0, _STEPS)
        self._slider.setPageStep(_STEPS // 10)
        self._slider.setAccessibleName(self.tr("Value under the needle"))
        self._number = LoneNumber(self.tr("Value under the needle, typed"), low=0.0, high=1.0, value=0.0)
        self._number.setMinimumWidth(with_letters(92))
        self._angle = QLabel()
        self._angle.setObjectName("quiet")
        self._angle.setMinimumWidth(with_letters(64))
        self._angle.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        label.setBuddy(self._number)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 6, 12, 6)
        for widget, stretch in ((label, 0), (self._slider, 1), (self._number, 0), (self._angle, 0)):
            row.addWidget(widget, stretch)
        self._slider.valueChanged.connect(self._slide)
        self._number.valueChanged.connect(desk.show_value)
        desk.value_changed.connect(lambda _: self.refresh())
        desk.instrument_changed.connect(lambda _: self.refresh())
        desk.document.changed.connect(lambda _: self.refresh())
        self.refresh()

    def hold(self, dial_deg: float | None) -> None:
        """Show where a board holds the needle, which nobody types over; None: the value counts again."""
        if dial_deg != self._held_deg:
            self._held_deg = dial_deg
            self.refresh()

    def refresh(self) -> None:
        """Show the value and the range of the instrument on the canvas."""
        shown = self._to_show()
        if shown == self._shown:
            return  # most edits change none of it, and a range that is set anew has the window laid out anew
        self._shown = shown
        self.setEnabled(shown is not None and self._held_deg is None)
        self.setToolTip("" if self._held_deg is None else self.tr("The board has the needle"))
        if shown is None:
            self._angle.setText("")
            return
        with QSignalBlocker(self._slider), QSignalBlocker(self._number):
            self._number.setRange(shown.low, shown.high)
            self._number.setSingleStep((shown.high - shown.low) / 100)
            self._number.setSuffix(_suffix(shown.unit))
            self._number.setValue(shown.value)
            self._slider.setValue(round((shown.value - shown.low) / (shown.high - shown.low) * _STEPS))
        self._angle.setText(with_minus(f"{shown.dial_deg:.1f}°"))

    def _to_show(self) -> _Shown | None:
        instrument, held_deg = self._desk.instrument, self._held_deg
        if instrument is None:
            return None
        scale = instrument.face.scale
        low, high = value_range(scale)
        if held_deg is None:
            value = self._desk.value
            return _Shown(low, high, instrument.unit, value, angle_deg(scale, value), held=False)
        low_deg, high_deg = angle_range_deg(scale)
        value = value_at(scale, min(max(held_deg, low_deg), high_deg))
        return _Shown(low, high, instrument.unit, value, held_deg, held=True)

    def _slide(self, step: int) -> None:
        instrument = self._desk.instrument
        if instrument is not None:
            low, high = value_range(instrument.face.scale)
            self._desk.show_value(low + (high - low) * step / _STEPS)
