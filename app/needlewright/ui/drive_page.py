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
from gaugecore.panel.document import Panel
from needlewright.drive_job import DriveJob
from needlewright.ui.desk import VIRTUAL, Desk
from needlewright.ui.drive_words import drive_words
from needlewright.ui.driving import DriveShown, Driving
from needlewright.ui.needles import DRIVE
from needlewright.ui.silence_form import SilenceForm
from needlewright.ui.translation import translate
from needlewright.ui.wish_form import WishForm
from needlewright.ui.wishes import PlayingWishes

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
    """

    said = Signal(str)
    broke = Signal(object)
    needle_shown = Signal(object)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._trouble = ""
        self._last: DriveShown | None = None
        self.driving = Driving(self)
        self.port = _choice(self.tr("Port of the board"), [*(device for device, _ in ports()), VIRTUAL])
        self.port.setCurrentText(desk.port)
        desk.port_changed.connect(self.port.setCurrentText)
        self.feed = _choice(self.tr("Feed of the values"), list(FEEDS))
        self._file = QPushButton(self.tr("Recording…"))
        self._file.setToolTip(self.tr("Play a recording, CSV with a time_s column"))
        self.record = QLineEdit()
        self.record.setAccessibleName(self.tr("File to record what comes in"))
        self.record.setPlaceholderText(self.tr("Not recorded"))
        self._choose = QPushButton(self.tr("Choose…"))
        self._loop = QCheckBox(self.tr("Play a recording over and over"))
        self.silence = SilenceForm(desk)
        self.playing = WishForm(
            self.tr("Rate and recordings"), PlayingWishes(), untouched=self.tr("50 Hz, from the start")
        )
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
        if self.driving.is_on:
            self.driving.stop()
            self.said.emit(self.tr("Stopped: the needles are relaxed."))

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
        for form in (self.silence, self.playing):
            column.addWidget(form)
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
        self.driving.trouble_changed.connect(self._show_trouble)
        # one at a time, so that what the drive does stays in sight
        self.silence.opened.connect(lambda: self.playing.set_open(False))
        self.playing.opened.connect(lambda: self.silence.set_open(False))
        self._desk.document.begun.connect(lambda: self._end_for(self.tr("another panel was begun")))
        self._desk.document.changed.connect(self._end_if_gone)

    def _start_or_park(self) -> None:
        if self.driving.is_on:
            self.said.emit(self.tr("The needles go home, then relax."))
            self.driving.park()
            return
        if refusal := self._desk.needles.take(DRIVE):
            self.said.emit(refusal)
            return
        try:
            job = self.job()
        except NeedlewrightError as error:
            self._desk.needles.let_go(DRIVE)
            self.said.emit(str(error))
            return
        self._desk.take_port(job.port)
        self._trouble, self._last = "", None
        self.words.setText(self.tr("Connecting…"))
        self._show_on(True)
        self.driving.start(job)

    def job(self) -> DriveJob:
        """Return the drive that is asked for.

        Raises
        ------
        FitError
            If a needle that is to park cannot be sent anywhere.
        """
        panel, record, playing = self._desk.document.panel, self.record.text().strip(), self.playing.wishes
        return DriveJob(
            panel=panel,
            port=self.port.currentText().strip(),
            feed=self.feed.currentText().strip(),
            record=Path(record).expanduser() if record else None,
            replace=playing.replace_file,
            playing=Playing(
                speed=playing.playing_speed, loop=self._loop.isChecked(), start_s=playing.begin_at_s
            ),
            set_limits=self._limits.isChecked(),
            clamp=self.clamp.isChecked(),
            silence=self.silence.silence(panel),
            rate_hz=playing.most_rounds_hz,
        )

    def _end_for(self, why: str) -> None:
        """End a drive that what is on the screen has nothing to do with any more."""
        if self.driving.is_on and not self.driving.is_ending:
            self.driving.park()
            self.said.emit(self.tr("The drive ends, the needles go home: {0}.").format(why))

    def _end_if_gone(self, panel: Panel) -> None:
        gone = [one for one in self.driving.driven if panel.instrument(one) is None]
        if gone:
            self._end_for(self.tr("the panel no longer has {0}").format(", ".join(gone)))

    def _show_trouble(self, trouble: str) -> None:
        """Say that the board is out of reach, and when it is back; the counters stand still meanwhile."""
        self._trouble = trouble
        if trouble:
            self.said.emit(self.tr("The board is out of reach: {0}.").format(trouble))
        else:
            self.said.emit(self.tr("The board is back, and the drive goes on."))
        if self._last is not None:
            self.words.setText(drive_words(self._last, trouble))

    def _show(self, shown: DriveShown) -> None:
        self._last = shown
        self.words.setText(drive_words(shown, self._trouble))
        instrument = self._desk.instrument
        mine = [dial for dial in shown.state.dials if instrument is not None and dial.id == instrument.id]
        self.needle_shown.emit(mine[0].angle_deg if mine else None)

    def _refuse(self, error: NeedlewrightError) -> None:
        self.said.emit(str(error))
        self.words.setText(translate("engine", CAUTION))

    def _end(self) -> None:
        self.needle_shown.emit(None)
        self._desk.needles.let_go(DRIVE)
        self._show_on(False)

    def _show_on(self, on: bool) -> None:
        self.go.setText(self.tr("Park and end") if on else self.tr("Drive"))
        self.halt.setEnabled(on)
        places = (self.port, self.feed, self._file, self.record, self._choose)
        for widget in (*places, self._loop, self._limits, self.clamp):
            widget.setEnabled(not on)
        for form in (self.silence, self.playing):
            form.let_edit(not on)
            if on:
                form.set_open(False)

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
