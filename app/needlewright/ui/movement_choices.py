"""The movements to choose from: the user's own and the generic classes, each taken over as one step."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QListWidget, QPushButton, QVBoxLayout, QWidget

from gaugecore.errors import NeedlewrightError
from gaugecore.movement.library import (
    Library,
    load_library,
    movements_to_choose_from,
    own_library_path,
    remember,
)
from gaugecore.movement.servo import Servo
from gaugecore.panel.document import Instrument, Movement
from needlewright.ui.translation import translate


class MovementChoices(QWidget):
    """A list of movements with their figures in a line.

    Signals
    -------
    wanted : Servo or Stepper
        This one is to be taken over.
    refused : NeedlewrightError
        The user's own library cannot be read or written.
    """

    wanted = Signal(object)
    refused = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._instrument: Instrument | None = None
        self._movements: list[Movement] = []
        said = QLabel(self.tr("Figures are typical until you measure yours. Your own come first."))
        said.setObjectName("quiet")
        said.setWordWrap(True)
        self._list = QListWidget()
        self._list.setWordWrap(True)
        self._list.setSpacing(3)
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setAccessibleName(self.tr("Movements to choose from"))
        self._take = QPushButton(self.tr("Take this movement over"))
        self._remember = QPushButton(self.tr("Remember the dial's own"))
        self._remember.setToolTip(self.tr("Keeps this dial's movement among your own, for every panel."))
        row = QHBoxLayout()
        row.addWidget(self._take)
        row.addWidget(self._remember)
        row.addStretch()
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 8)
        column.addWidget(said)
        column.addWidget(self._list, 1)
        column.addLayout(row)
        self._take.clicked.connect(lambda: self._ask())
        self._list.itemActivated.connect(lambda _: self._ask())
        self._remember.clicked.connect(lambda: self._keep())

    def show_for(self, instrument: Instrument | None) -> None:
        """Show the movements, and where the instrument's own may be kept."""
        self._instrument = instrument
        self._remember.setEnabled(instrument is not None)
        try:
            self._fill(load_library(own_library_path()))
        except NeedlewrightError as error:
            self._fill(Library())
            self.refused.emit(error)

    def _fill(self, own: Library) -> None:
        row = max(self._list.currentRow(), 0)
        self._movements = list(movements_to_choose_from(own).values())
        self._list.clear()
        self._list.addItems([_in_words(movement) for movement in self._movements])
        self._list.setCurrentRow(min(row, len(self._movements) - 1))
        self._take.setEnabled(self._instrument is not None)

    def _ask(self) -> None:
        row = self._list.currentRow()
        if 0 <= row < len(self._movements) and self._instrument is not None:
            self.wanted.emit(self._movements[row])

    def _keep(self) -> None:
        if self._instrument is None:
            return
        try:
            self._fill(remember(self._instrument.movement, own_library_path()))
        except NeedlewrightError as error:
            self.refused.emit(error)


def _in_words(movement: Movement) -> str:
    if isinstance(movement, Servo):
        figures = translate(
            "movement_choices",
            "{0:g}° in {1:g} to {2:g} µs, {3:g} mN·m, {4:g} / {5:g} / {6:g} mA idle, moving, stalled",
        ).format(
            movement.travel_deg,
            movement.pulse_min_us,
            movement.pulse_max_us,
            movement.torque_mnm,
            movement.idle_ma,
            movement.moving_ma,
            movement.stall_ma,
        )
    else:
        figures = translate("movement_choices", "{0:g}°, {1:g} steps a turn, {2:g} mN·m, {3}").format(
            movement.travel_deg,
            movement.steps_per_turn,
            movement.torque_mnm,
            translate("movement_choices", "with a stop")
            if movement.has_stop
            else translate("movement_choices", "without a stop"),
        )
    return f"{movement.name}: {figures}"
