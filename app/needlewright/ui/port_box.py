"""Choosing a port and connecting to the board on it."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from gaugecore.board.serial_link import ports
from gaugecore.board.session import CAUTION
from needlewright.ui.desk import VIRTUAL
from needlewright.ui.translation import translate


class PortBox(QWidget):
    """Port, size of the plan, connect.

    Signals
    -------
    join_wanted : str, int, int
        Port, readings a cycle, cycles.
    part_wanted
        Let go of the board.
    """

    join_wanted = Signal(str, int, int)
    part_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._port = QComboBox()
        self._port.setEditable(True)
        self._port.setAccessibleName(self.tr("Port of the board"))
        self._port.setToolTip(self.tr("A device name, socket://HOST:PORT, or virtual: for a simulated board"))
        self._look = QPushButton(self.tr("Look again"))
        self._look.setToolTip(self.tr("Look for ports again"))
        self._join = QPushButton(self.tr("Connect"))
        self._readings = _count(21, 5, 999, self.tr("Readings a cycle, both directions together"))
        self._cycles = _count(1, 1, 99, self.tr("Cycles; from 3 the repeatability can be told"))
        self._goes_on = QCheckBox()
        self._goes_on.hide()
        self._said = QLabel()
        self._said.setWordWrap(True)
        self._said.setObjectName("quiet")
        first, second = QHBoxLayout(), QHBoxLayout()
        board, readings, cycles = (
            QLabel(text) for text in (self.tr("Board on"), self.tr("Readings"), self.tr("in cycles"))
        )
        for label, field in ((board, self._port), (readings, self._readings), (cycles, self._cycles)):
            label.setBuddy(field)
        for widget, stretch in ((board, 0), (self._port, 1), (self._look, 0)):
            first.addWidget(widget, stretch)
        for part in (readings, self._readings, cycles, self._cycles):
            second.addWidget(part)
        second.addStretch()
        second.addWidget(self._join)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(first)
        column.addLayout(second)
        column.addWidget(self._goes_on)
        column.addWidget(self._said)
        self._joined = False
        self._connected = ""
        self._look.clicked.connect(self.look)
        self._join.clicked.connect(self._ask)
        self.look()
        self.show_joined("")

    @property
    def goes_on(self) -> bool:
        """Return whether the last sitting is to be gone on with."""
        return not self._goes_on.isHidden() and self._goes_on.isChecked()

    def offer_last(self, readings: int) -> None:
        """Offer to go on with a sitting of so many readings; 0: there is none."""
        self._goes_on.setVisible(readings > 0)
        self._goes_on.setText(self.tr("Go on with the last sitting, {0} readings").format(readings))

    def look(self) -> None:
        """List the machine's ports, the virtual board last."""
        chosen = self._port.currentText()
        self._port.clear()
        for device, description in ports():
            self._port.addItem(device)
            self._port.setItemData(self._port.count() - 1, description, 3)
        self._port.addItem(VIRTUAL)
        self._port.setCurrentText(chosen or VIRTUAL)

    def take_port(self, url: str) -> None:
        """Choose a port, unless one is in use."""
        if not self._joined:
            self._port.setCurrentText(url)

    def show_joined(self, name: str, remark: str = "") -> None:
        """Say which board is there; an empty name: none, and what to mind before there is one."""
        self._joined = bool(name)
        self._connected = " ".join((self.tr("Connected to {0}.").format(name), remark)).strip()
        for widget in (self._port, self._look, self._readings, self._cycles):
            widget.setEnabled(not name)
        if name:
            self._goes_on.hide()
        self._join.setEnabled(True)
        self._join.setText(self.tr("Let go") if name else self.tr("Connect"))
        self._said.setText(self._connected if name else translate("engine", CAUTION))

    def show_trouble(self, trouble: str) -> None:
        """Say that the board is out of reach, and why; empty when it is back."""
        if self._joined:
            self._said.setText(
                self.tr("Out of reach: {0}. Nothing moves until it is back and you ask for it.").format(
                    trouble
                )
                if trouble
                else self._connected
            )

    def show_busy(self, busy: bool) -> None:
        """Say that the port is being opened, which may take seconds."""
        if not self._joined:
            self._join.setEnabled(not busy)
            self._join.setText(self.tr("Connecting…") if busy else self.tr("Connect"))

    def _ask(self) -> None:
        if self._joined:
            self.part_wanted.emit()
        else:
            self.join_wanted.emit(
                self._port.currentText().strip(), self._readings.value(), self._cycles.value()
            )


def _count(value: int, low: int, high: int, spoken: str) -> QSpinBox:
    box = QSpinBox()
    box.setRange(low, high)
    box.setValue(value)
    box.setAccessibleName(spoken)
    box.setToolTip(spoken)
    return box
