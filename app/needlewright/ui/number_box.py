"""A number with its unit, in which point and comma both mean the decimal sign.

Qt's own box drops the one that is not the place's, and makes 15 of a typed 1,5.
"""

from __future__ import annotations

from PySide6.QtCore import QPoint, Signal
from PySide6.QtGui import QValidator, QWheelEvent
from PySide6.QtWidgets import QDoubleSpinBox, QToolTip, QWidget

from needlewright.ui.translation import with_minus

#: No number that means anything here is larger.
WIDEST = 1e12


class NumberBox(QDoubleSpinBox):
    """Takes a number as people type it, and shows the shortest text for it.

    Signals
    -------
    complained : str
        Why what is being typed cannot be taken; empty when it can.
    """

    complained = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setKeyboardTracking(False)
        self.setGroupSeparatorShown(False)
        self.lineEdit().textEdited.connect(lambda text: self.complained.emit(self.complaint(text)))

    @property
    def is_typed_in(self) -> bool:
        """Return whether something is typed that was not given yet."""
        return self._bare(self.text()) != self._bare(self.textFromValue(self.value()))

    def complaint(self, text: str) -> str:
        """Return why a text cannot be taken; empty when it can."""
        number = self.number(text)
        if number is None:
            return self.tr("A number is wanted here.")
        if not self.minimum() <= number <= self.maximum():
            low, high = (self.textFromValue(end) for end in (self.minimum(), self.maximum()))
            return self.tr("Accepted: {0} to {1}{2}.").format(low, high, self.suffix())
        return ""

    def number(self, text: str) -> float | None:
        """Return the number in a text with or without the unit, None when there is none."""
        bare = self._bare(text)
        if bare.count(",") + bare.count(".") > 1 or "_" in bare:
            return None
        try:
            number = float(bare.replace(",", "."))
        except ValueError:
            return None
        return number if abs(number) <= WIDEST else None

    def textFromValue(self, value: float) -> str:
        """Return the shortest text for a value, with the decimal sign of the place."""
        text = f"{value:.{self.decimals()}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return with_minus("0" if text == "-0" else text).replace(".", self.locale().decimalPoint())

    def valueFromText(self, text: str) -> float:
        """Return the number in a text, point or comma."""
        number = self.number(text)
        return self.value() if number is None else number

    def validate(self, text: str, at: int) -> tuple[QValidator.State, str, int]:
        """Let be typed what may become a number; the range is judged in words, not by eating keys."""
        if self.number(text) is None:
            unfinished = all(letter in "0123456789.,-+eE" for letter in self._bare(text))
            state = QValidator.State.Intermediate if unfinished else QValidator.State.Invalid
        else:
            state = QValidator.State.Intermediate if self.complaint(text) else QValidator.State.Acceptable
        return state, text, at

    def fixup(self, text: str) -> str:
        """Go back to the value before when what was typed cannot be taken."""
        self.complained.emit("")
        return self.textFromValue(self.value()) + self.suffix()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to what scrolls: a value must not change because somebody scrolled past it."""
        event.ignore()

    def _bare(self, text: str) -> str:
        return text.removesuffix(self.suffix()).removesuffix(self.suffix().strip()).strip().replace("−", "-")


class LoneNumber(NumberBox):
    """A number that stands in no form, and says itself what it takes.

    Parameters
    ----------
    spoken : str
        What it is, for those who hear it.
    low, high, value : float
        What it takes, and what it begins with.
    unit : str
        Behind the number.
    decimals : int
        Digits kept behind the point.
    step : float
        Of the arrow keys.
    """

    def __init__(
        self,
        spoken: str,
        *,
        low: float,
        high: float,
        value: float,
        unit: str = "",
        decimals: int = 2,
        step: float = 1.0,
    ) -> None:
        super().__init__()
        self.setDecimals(decimals)
        self.setRange(low, high)
        self.setSuffix(unit if unit in ("", "°") else f" {unit}")
        self.setSingleStep(step)
        self.setValue(value)
        self.setAccessibleName(spoken)
        self.complained.connect(self._tell)

    def _tell(self, sentence: str) -> None:
        QToolTip.showText(self.mapToGlobal(QPoint(0, self.height())), sentence, self)
