"""The field a reading is typed into: one key records, one takes back, four jog, one stops."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate

KEYS = QT_TRANSLATE_NOOP(
    "reading_field",
    "Enter records, or goes to the target. Up and Down jog by 1, Page Up and Page Down by 10. "
    "Backspace in the empty field takes the last reading back. Escape stops.",
)

_JOGS = {
    Qt.Key.Key_Up: 1.0,
    Qt.Key.Key_Down: -1.0,
    Qt.Key.Key_PageUp: 10.0,
    Qt.Key.Key_PageDown: -10.0,
}


class ReadingField(QLineEdit):
    """Takes what the needle shows.

    Signals
    -------
    entered : float or None
        Enter was pressed: the number typed, None when nothing was.
    not_a_number : str
        What was typed is none.
    jogged : float
        The needle is to be shifted by so many command units.
    taken_back, stopped
        The last reading is wrong; everything is to stop.
    """

    entered = Signal(object)
    not_a_number = Signal(str)
    jogged = Signal(float)
    taken_back = Signal()
    stopped = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("What the needle shows"))
        self.setAccessibleDescription(translate("reading_field", KEYS))
        self.setToolTip(translate("reading_field", KEYS))
        self.setMaxLength(20)
        self.returnPressed.connect(self._enter)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Do what the key is for."""
        key = Qt.Key(event.key())
        if key in _JOGS:
            self.jogged.emit(_JOGS[key])
        elif key == Qt.Key.Key_Escape:
            self.stopped.emit()
        elif key == Qt.Key.Key_Backspace and not self.text():
            if not event.isAutoRepeat():  # a key held down to clear the field must not eat readings
                self.taken_back.emit()
        else:
            super().keyPressEvent(event)

    def _enter(self) -> None:
        text = self.text().strip()
        if not text:
            self.entered.emit(None)
            return
        try:
            number = float(text.replace(",", ".").replace("−", "-"))
        except ValueError:
            self.not_a_number.emit(text)
            return
        self.entered.emit(number)
