"""Whose the needles are: one page at a time may move them, and every other one can say which."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate

CALIBRATION, DRIVE = "calibration", "drive"

_REFUSALS = {
    CALIBRATION: QT_TRANSLATE_NOOP(
        "needles", "A calibration has the board: let go of it first, on the calibration stage."
    ),
    DRIVE: QT_TRANSLATE_NOOP("needles", "A drive has the board: end it first, on the output stage."),
}
_REMINDERS = {
    CALIBRATION: QT_TRANSLATE_NOOP(
        "needles", "Calibration has the board: a needle may be energised. Escape stops it."
    ),
    DRIVE: QT_TRANSLATE_NOOP("needles", "A drive has the board: needles are energised. Escape stops them."),
}


class Needles(QObject):
    """Remembers who may move the needles.

    Signals
    -------
    changed
        Somebody else may, or nobody.
    """

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._holder = ""

    @property
    def holder(self) -> str:
        """Return who may move them, empty: nobody."""
        return self._holder

    @property
    def reminder(self) -> str:
        """Return a sentence that says so on other stages; empty when nobody may."""
        return translate("needles", _REMINDERS[self._holder]) if self._holder else ""

    @property
    def refusal(self) -> str:
        """Return why nobody else may have the board now; empty when it is free."""
        return translate("needles", _REFUSALS[self._holder]) if self._holder else ""

    def take(self, holder: str) -> str:
        """Give the needles to somebody; return why not, empty when they are theirs now."""
        if self._holder not in ("", holder):
            return self.refusal
        self._hold(holder)
        return ""

    def let_go(self, holder: str) -> None:
        """Take them back from somebody who has them."""
        if self._holder == holder:
            self._hold("")

    def _hold(self, holder: str) -> None:
        if holder != self._holder:
            self._holder = holder
            self.changed.emit()
