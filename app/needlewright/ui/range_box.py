"""Finding the safe range: how far the needle may be sent each way."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from needlewright.ui.bench import Joined
from needlewright.ui.font_size import with_letters
from needlewright.ui.number_box import LoneNumber
from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate

_ADVICE = QT_TRANSLATE_NOOP(
    "range_box",
    "First the safe range. Send the needle outwards a little at a time, from the middle, and stop just past "
    "the last graduation, or before the movement meets its stop. A far command is reached in small steps.",
)


class RangeBox(QWidget):
    """Both ends of the range, with a way to go there.

    Signals
    -------
    seek_wanted : float
        Send the needle to a command, in small steps when it is far.
    range_wanted : float, float
        Store the range and plan the targets.
    eye_wanted
        Let the simulated eye find it.
    """

    seek_wanted = Signal(float)
    range_wanted = Signal(float, float)
    eye_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        advice = QLabel(translate("range_box", _ADVICE))
        advice.setWordWrap(True)
        grid = QGridLayout()
        self._ends: dict[str, LoneNumber] = {}
        self._asked: LoneNumber | None = None
        self._has_ended = False
        self._reached: dict[LoneNumber, float] = {}
        for row, (name, short, spoken) in enumerate(
            (
                ("low", self.tr("Low end"), self.tr("Smallest command")),
                ("high", self.tr("High end"), self.tr("Largest command")),
            )
        ):
            box = LoneNumber(spoken, low=0.0, high=0.0, value=0.0, decimals=1, step=10.0)
            box.valueChanged.connect(partial(self._seek, box))
            label = QLabel(short)
            label.setToolTip(spoken)
            label.setBuddy(box)
            grid.addWidget(label, row, 0)
            grid.addWidget(box, row, 1)
            for column, step in enumerate((-10.0, -1.0, 1.0, 10.0), start=2):
                button = QPushButton(f"{step:+.0f}".replace("-", "−"))
                button.setFixedWidth(with_letters(40))
                button.setAccessibleName(f"{spoken}, {button.text()}")
                button.clicked.connect(lambda _=False, box=box, step=step: box.setValue(box.value() + step))
                grid.addWidget(button, row, column)
            self._ends[name] = box
        self._use = QPushButton(self.tr("Use this range"))
        self._eye = QPushButton(self.tr("Find it with the simulated eye"))
        row_box = QHBoxLayout()
        row_box.addWidget(self._use)
        row_box.addWidget(self._eye)
        row_box.addStretch()
        column_box = QVBoxLayout(self)
        column_box.setContentsMargins(0, 0, 0, 0)
        column_box.addWidget(advice)
        column_box.addLayout(grid)
        column_box.addLayout(row_box)
        self._use.clicked.connect(
            lambda: self.range_wanted.emit(self._ends["low"].value(), self._ends["high"].value())
        )
        self._eye.clicked.connect(self._find)

    def show_board(self, joined: Joined, widest: tuple[float, float], unit: str) -> None:
        """Begin with the range stored in the board."""
        self._asked = None
        for box, value in zip(self._ends.values(), joined.stored_range, strict=True):
            box.blockSignals(True)
            box.setRange(*widest)
            box.setSuffix(f" {unit}")
            box.blockSignals(False)
            self._show(box, value)
            self._reached[box] = value
        self._eye.setVisible(joined.virtual)

    def note_sent(self, command: float) -> None:
        """Take note of where the needle was sent, on its way to what was asked for."""
        if self._asked is not None:
            self._reached[self._asked] = command
            if self._has_ended:  # its last step was on its way when the walk ended
                self.end_walk()

    def end_walk(self) -> None:
        """Show where the needle was last sent: it will not come to where it was asked to go."""
        if self._asked is not None:
            self._has_ended = True
            self._show(self._asked, self._reached[self._asked])

    def _show(self, box: LoneNumber, command: float) -> None:
        if box.value() != command:
            box.blockSignals(True)  # to show a command is not to ask for it
            box.setValue(command)
            box.blockSignals(False)

    def _seek(self, box: LoneNumber, command: float) -> None:
        self._asked, self._has_ended = box, False
        self.seek_wanted.emit(command)

    def _find(self) -> None:
        self._asked = None
        self.eye_wanted.emit()
