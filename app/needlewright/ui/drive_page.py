"""Driving: a port, a feed, one button; the counters below, and a stop one key away."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFileDialog,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gaugecore.board.serial_link import ports
from gaugecore.board.session import CAUTION
from gaugecore.errors import NeedlewrightError
from gaugecore.feed.open_feed import Playing
from needlewright.drive_job import DriveJob
from needlewright.ui.desk import Desk
from needlewright.ui.drive_words import drive_words
from needlewright.ui.driving import DriveShown, Driving
from needlewright.ui.port_box import VIRTUAL
from needlewright.ui.translation import translate

#: Feeds one click away; the port of the UDP feed is an example to be typed over.
FEEDS = ("signal:sine", "signal:ramp", "signal:steps", "signal:walk", "udp://:5005")


class DrivePage(QWidget):
    """Lets live values move the needles, the one on the canvas too.

    Signals
    -------
    said : str
        Something for the message strip.
    broke : Exception
        Something failed in a way nobody meant.
    needle_shown : object
        Where the needle on the canvas is, a dial angle, or None.
    moving_changed : bool
        Needles may move from now on, or do so no longer.
    """

    said = Signal(str)
    broke = Signal(object)
    needle_shown = Signal(object)
    moving_changed = Signal(bool)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.driving = Driving(self)
        self.port = _choice(self.tr("Port of the board"), [*(device for device, _ in ports()), VIRTUAL])
        self.port.setCurrentText(VIRTUAL)
        self.feed = _choice(self.tr("Feed of the values"), list(FEEDS))
        self._file = QPushButton(self.tr("Recording…"))
        self._file.setToolTip(self.tr("Play a recording, CSV with a time_s column"))
        self.record = QLineEdit()
        self.record.setAccessibleName(self.tr("File to record what comes in"))
        self.record.setPlaceholderText(self.tr("Not recorded"))
        self._choose = QPushButton(self.tr("Choose…"))
        self._loop = QCheckBox(self.tr("Play a recording over and over"))
        self._limits = QCheckBox(self.tr("Set the board's limits to the range of each fit"))
        self.clamp = QCheckBox(self.tr("Stop at the ends of the calibrated arc"))
        self.go = QPushButton(self.tr("Drive"))
        self.halt = QPushButton(self.tr("Stop and relax the needles"))
        self.halt.setObjectName("stop")
        self.halt.setToolTip(self.tr("Escape, from anywhere in the window"))
        self.words = QLabel(translate("engine", CAUTION))
        self.words.setWordWrap(True)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.words.setAccessibleName(self.tr("How the drive goes"))
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._place()
        self._join()
        self._show_on(False)

    def stop_needles(self) -> None:
        """Stop at once."""
        self.driving.stop()

    def shut_down(self) -> None:
        """Stop, let go of the board and the feed, end the thread."""
        self.driving.shut_down()

    def _place(self) -> None:
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setColumnStretch(1, 1)
        rows: tuple[tuple[str, QWidget, QWidget | None], ...] = (
            (self.tr("Board on"), self.port, None),
            (self.tr("Values from"), self.feed, self._file),
            (self.tr("Record to"), self.record, self._choose),
        )
        for at, (text, field, button) in enumerate(rows):
            label = QLabel(text)
            label.setBuddy(field)
            grid.addWidget(label, at, 0)
            grid.addWidget(field, at, 1, 1, 1 if button else 2)
            if button is not None:
                grid.addWidget(button, at, 2)
        buttons = QHBoxLayout()
        buttons.addWidget(self.go)
        buttons.addWidget(self.halt, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 12, 12, 10)
        column.setSpacing(8)
        column.addLayout(grid)
        column.addWidget(self._loop)
        column.addWidget(self._limits)
        column.addWidget(self.clamp)
        column.addLayout(buttons)
        column.addWidget(self.words, 1)

    def _join(self) -> None:
        self._file.clicked.connect(lambda: self._ask_for_recording())
        self._choose.clicked.connect(lambda: self._ask_for_new_file())
        self.go.clicked.connect(lambda: self._start_or_park())
        self.halt.clicked.connect(lambda: self.stop_needles())
        self.driving.begun.connect(self.said)
        self.driving.shown.connect(self._show)
        self.driving.ended.connect(self._end)
        self.driving.refused.connect(self._refuse)
        self.driving.broke.connect(self.broke)

    def _start_or_park(self) -> None:
        if self.driving.is_on:
            self.said.emit(self.tr("The needles go home, then relax."))
            self.driving.park()
            return
        record = self.record.text().strip()
        self.words.setText(self.tr("Connecting…"))
        self._show_on(True)
        self.driving.start(
            DriveJob(
                panel=self._desk.document.panel,
                port=self.port.currentText().strip(),
                feed=self.feed.currentText().strip(),
                record=Path(record).expanduser() if record else None,
                playing=Playing(loop=self._loop.isChecked()),
                set_limits=self._limits.isChecked(),
                clamp=self.clamp.isChecked(),
            )
        )

    def _show(self, shown: DriveShown) -> None:
        self.words.setText(drive_words(shown))
        instrument = self._desk.instrument
        mine = [dial for dial in shown.state.dials if instrument is not None and dial.id == instrument.id]
        self.needle_shown.emit(mine[0].angle_deg if mine else None)

    def _refuse(self, error: NeedlewrightError) -> None:
        self.said.emit(str(error))
        self.words.setText(translate("engine", CAUTION))

    def _end(self) -> None:
        self.needle_shown.emit(None)
        self._show_on(False)

    def _show_on(self, on: bool) -> None:
        self.go.setText(self.tr("Park and end") if on else self.tr("Drive"))
        self.halt.setEnabled(on)
        places = (self.port, self.feed, self._file, self.record, self._choose)
        for widget in (*places, self._loop, self._limits, self.clamp):
            widget.setEnabled(not on)
        self.moving_changed.emit(on)

    def _ask_for_recording(self) -> None:
        chosen, _ = QFileDialog.getOpenFileName(
            self, self.tr("Play recording"), str(Path.home()), self.tr("Recordings (*.csv);;All files (*)")
        )
        if chosen:
            self.feed.setCurrentText(chosen)

    def _ask_for_new_file(self) -> None:
        chosen, _ = QFileDialog.getSaveFileName(
            self, self.tr("Record to a new file"), str(Path.home() / "recording.csv"), "*.csv"
        )
        if chosen:
            self.record.setText(chosen)


def _choice(spoken: str, texts: list[str]) -> QComboBox:
    box = QComboBox()
    box.setEditable(True)
    box.addItems(texts)
    box.setAccessibleName(spoken)
    return box
