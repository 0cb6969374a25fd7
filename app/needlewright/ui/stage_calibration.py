"""The calibration stage: connect, find the range, walk the targets, see the fit, keep it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from gaugecore.board.session import SessionState, Setting
from gaugecore.calibration.readings import Direction
from gaugecore.errors import NeedlewrightError
from gaugecore.face.scale import angle_range_deg
from gaugecore.movement.servo import Servo
from gaugecore.panel.document import Instrument
from gaugecore.panel.needle_of import (
    channel_of,
    clockwise_with_command,
    needle_of,
    port_for,
    widest_commands,
)
from needlewright.ui.background import Background
from needlewright.ui.bench import Bench, Joined
from needlewright.ui.desk import Desk
from needlewright.ui.fit_plots import FitPlots
from needlewright.ui.fit_words import fit_in_words
from needlewright.ui.last_sitting import last_sitting, new_file
from needlewright.ui.needles import CALIBRATION
from needlewright.ui.port_box import PortBox
from needlewright.ui.range_box import RangeBox
from needlewright.ui.readings_table import ReadingsTable
from needlewright.ui.sitting import Sitting, today
from needlewright.ui.target_box import TargetBox


class CalibrationStage(QWidget):
    """One sitting at the bench.

    Signals
    -------
    said : str
        Something for the message strip.
    worked
        What was complained of is over: something asked for since was done.
    broke : Exception
        Something failed in a way nobody meant.
    target_shown : object
        Where the needle is expected and from which side: (dial angle, Direction), or None.
    needle_shown : object
        Where the needle is thought to be, a dial angle, or None.
    """

    said = Signal(str)
    worked = Signal()
    broke = Signal(object)
    target_shown = Signal(object)
    needle_shown = Signal(object)

    def __init__(self, desk: Desk, background: Background) -> None:
        super().__init__()
        self._desk = desk
        self._instrument: Instrument | None = None
        self._taken_on: str | None = None
        self._is_on_disk = True
        self.bench = Bench(self)
        self.sitting = Sitting(desk, background, self)
        self.port = PortBox()
        self.port.take_port(desk.port)
        desk.port_changed.connect(self.port.take_port)
        self.range = RangeBox()
        self.target = TargetBox()
        self.plots = FitPlots()
        self.table = ReadingsTable()
        self.plots.addTab(self.table, self.tr("Readings"))
        self._figures = QLabel()
        self._figures.setWordWrap(True)
        self._place()
        self._join()
        self._offer_last()
        self._show_sitting()

    def leave_window(self) -> None:
        """Stop the needle when the window is left: nobody is looking at its sweep then."""
        if self._desk.needles.holder == CALIBRATION:
            self.bench.stop()
            if self.bench.is_joined:
                self.said.emit(self.tr("The window lost the focus: the needle was stopped and relaxed."))

    def stop_needles(self) -> None:
        """Stop at once."""
        self.bench.stop()

    def shut_down(self) -> None:
        """Relax the needle, let go of the board, end its thread."""
        self.bench.shut_down()

    def _place(self) -> None:
        self._stop = QPushButton(self.tr("Stop and relax the needle"))
        self._stop.setObjectName("stop")
        self._stop.setToolTip(self.tr("Escape, from anywhere in the window"))
        self._stop.hide()
        self._steps = QStackedWidget()
        self._steps.addWidget(self.range)
        self._steps.addWidget(self.target)
        self._steps.hide()
        above = QWidget()
        top = QVBoxLayout(above)
        top.setContentsMargins(12, 10, 12, 6)
        for part in (self.port, self._stop, self._steps):
            top.addWidget(part)
        top.addStretch()
        below = QWidget()
        bottom = QVBoxLayout(below)
        bottom.setContentsMargins(12, 4, 12, 8)
        self._keep = QPushButton(self.tr("Keep in the panel"))
        self._open = QPushButton(self.tr("Open readings file…"))
        row = QHBoxLayout()
        row.addWidget(self._keep)
        row.addWidget(self._open)
        row.addStretch()
        bottom.addWidget(self._figures)
        bottom.addWidget(self.plots, 1)
        bottom.addLayout(row)
        halves = QSplitter(Qt.Orientation.Vertical)
        halves.setChildrenCollapsible(False)
        halves.setHandleWidth(1)
        halves.addWidget(above)
        halves.addWidget(below)
        halves.setStretchFactor(1, 1)
        halves.setSizes([262, 300])
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(halves)

    def _join(self) -> None:
        self.port.join_wanted.connect(self._begin)
        self.port.part_wanted.connect(self.bench.part)
        self._stop.clicked.connect(self.bench.stop)
        self.range.seek_wanted.connect(self.bench.walk)
        self.range.range_wanted.connect(lambda low, high: self.bench.set_range(low, high))
        self.range.eye_wanted.connect(self._find_range)
        self.target.approach_wanted.connect(self.bench.approach)
        self.target.jog_wanted.connect(self.bench.jog)
        self.target.record_wanted.connect(lambda angle, on: self.bench.record(angle, go_on=on))
        self.target.undo_wanted.connect(self.bench.undo)
        self.target.skip_wanted.connect(self.bench.skip)
        self.target.eye_wanted.connect(self.bench.read_with_eye)
        self.target.stop_wanted.connect(self.bench.stop)
        self.target.complained.connect(self.said)
        self.bench.joined.connect(self._show_joined)
        self.bench.parted.connect(self._show_parted)
        self.bench.state_changed.connect(self._show_state)
        self.bench.broke.connect(self.broke)
        self.bench.busy_changed.connect(self._show_busy)
        self.bench.refused.connect(lambda error: self.said.emit(str(error)))
        self.bench.worked.connect(self.worked)
        self.bench.stopped.connect(lambda: self.said.emit(self.tr("Stopped: the needle is relaxed.")))
        for ended in (self.bench.refused, self.bench.stopped):
            ended.connect(lambda *_: self.range.end_walk())
        self.bench.trouble_changed.connect(self._show_trouble)
        self.sitting.changed.connect(self._show_sitting)
        self.sitting.said.connect(self.said)
        self.table.exclude_wanted.connect(self._exclude)
        self.table.keep_wanted.connect(self._stand_by)
        self._keep.clicked.connect(self.keep)
        self._open.clicked.connect(self._ask_for_file)
        self._desk.instrument_changed.connect(lambda _: self._change_instrument())
        self._desk.instrument_renamed.connect(self._rename)
        self._desk.document.begun.connect(self._leave_instrument)
        self.sitting.changed.connect(self._offer_last)

    def _begin(self, url: str, readings: int, cycles: int) -> None:
        instrument = self._desk.instrument
        if instrument is None:
            self.said.emit(self.tr("A calibration belongs to an instrument, and the panel has none."))
            return
        if refusal := self._desk.needles.take(CALIBRATION):
            self.said.emit(refusal)
            return
        panel = self._desk.document.panel
        earlier = last_sitting(panel.title, instrument) if self.port.goes_on else None
        # a sitting that is gone on with is of the day it was begun
        self._taken_on = earlier.taken_on if earlier is not None else today()
        setting = Setting(
            channel=channel_of(panel, instrument),
            clockwise_with_command=clockwise_with_command(instrument),
            widest=widest_commands(instrument),
            arc_deg=angle_range_deg(instrument.face.scale),
            readings=readings,
            cycles=cycles,
            out=earlier.path if earlier is not None else new_file(panel.title, instrument),
            comment=", ".join(filter(None, (instrument.title, self._taken_on))),
        )
        self._desk.take_port(url)
        try:
            url = port_for(url, panel)
        except NeedlewrightError as error:
            self._desk.needles.let_go(CALIBRATION)
            self.said.emit(str(error))
            return
        self._instrument = instrument
        self._is_on_disk = setting.out is not None
        self.bench.join(url, instrument, setting, earlier.readings if earlier is not None else ())

    def _offer_last(self) -> None:
        """Offer to go on with a sitting that was broken off, as by a crash."""
        instrument = self._desk.instrument
        if self.bench.is_joined or instrument is None:
            return
        last = last_sitting(self._desk.document.panel.title, instrument)
        self.port.offer_last(len(last.readings) if last is not None else 0)

    def _show_joined(self, joined: Joined) -> None:
        if self._instrument is None or self._desk.needles.take(CALIBRATION):
            self.bench.part()  # what it was for has gone while the port was opening
            return
        unit = "µs" if isinstance(self._instrument.movement, Servo) else "steps"
        self.sitting.go_live(self._instrument, self._taken_on)
        remark = self.tr("Readings are not on disk while they are taken: its folder cannot be written.")
        self.port.show_joined(joined.name, "" if self._is_on_disk else remark)
        self.range.show_board(joined, widest_commands(self._instrument), unit)
        self.target.begin(self._instrument, virtual=joined.virtual)
        self._stop.show()
        self._steps.setCurrentWidget(self.range)
        self._steps.show()

    def _show_parted(self) -> None:
        self.port.show_joined("")
        self._offer_last()
        self._stop.hide()
        self._desk.needles.let_go(CALIBRATION)
        self._steps.hide()
        self.sitting.end_live()
        self.target_shown.emit(None)
        self.needle_shown.emit(None)

    def _show_busy(self, busy: bool) -> None:
        self.port.show_busy(busy)
        if not busy and not self.bench.is_joined:
            self._desk.needles.let_go(CALIBRATION)

    def _show_trouble(self, trouble: str) -> None:
        """Say that the board is out of reach, and when it is back; neither moves anything."""
        self.port.show_trouble(trouble)
        if trouble:
            self.said.emit(self.tr("The board is out of reach: {0}.").format(trouble))
        elif self.bench.is_joined:
            self.said.emit(self.tr("The board is back; the needle is relaxed until you send it somewhere."))

    def _show_state(self, state: SessionState) -> None:
        if self._instrument is None:
            return  # of a sitting that has ended meanwhile
        target = state.target
        expected_deg = self._expected_deg(target.command) if target is not None else None
        if state.targets:
            self._steps.setCurrentWidget(self.target)
        self.target.show_state(state, expected_deg)
        self.sitting.follow(state)
        direction = target.direction if target is not None else None
        self.target_shown.emit(None if expected_deg is None else (expected_deg, direction))
        if state.command is not None:
            self.range.note_sent(state.command)
            self.needle_shown.emit(self._expected_deg(state.command))

    def _expected_deg(self, command: float) -> float | None:
        """Return where a command should put the needle: by the fit so far, else by the design."""
        if self.sitting.fit is not None and state_inside(self.sitting.fit.command_range, command):
            return float(self.sitting.fit.angles(command, Direction.UNKNOWN)[0])
        if self._instrument is None:
            return None
        needle = needle_of(self._instrument)
        share = (command - needle.low_command) / (needle.high_command - needle.low_command)
        return needle.angle_at_low_deg + share * (needle.angle_at_high_deg - needle.angle_at_low_deg)

    def _find_range(self) -> None:
        if self._instrument is not None:
            self.bench.find_range(angle_range_deg(self._instrument.face.scale))

    def _show_sitting(self) -> None:
        sitting = self.sitting
        instrument = self._desk.instrument
        unit = "µs" if instrument is None or isinstance(instrument.movement, Servo) else "steps"
        self._figures.setText(fit_in_words(sitting.readings, sitting.fit, sitting.why_no_fit))
        self.plots.show_fit(sitting.readings, sitting.fit, unit)
        self.table.show_readings(sitting.readings, sitting.fit)
        self._keep.setVisible(sitting.is_live)
        self._keep.setEnabled(bool(sitting.readings))

    def _exclude(self, row: int, reason: str) -> None:
        if self.sitting.is_live:
            self.bench.exclude(row, reason)
        else:
            self.sitting.exclude(row, reason)

    def _stand_by(self, row: int, reason: str) -> None:
        (self.bench if self.sitting.is_live else self.sitting).stand_by(row, reason)

    def keep(self) -> None:
        """Put readings and fit into the panel."""
        self.sitting.keep()

    def _ask_for_file(self) -> None:
        chosen, _ = QFileDialog.getOpenFileName(
            self, self.tr("Open readings file"), str(Path.home()), self.tr("Readings (*.csv);;All files (*)")
        )
        if chosen:
            self.open_readings(Path(chosen))

    def open_readings(self, path: Path) -> None:
        """Take the readings in a file into the panel, or say why not."""
        try:
            self.sitting.open_file(path)
        except NeedlewrightError as error:
            self.said.emit(str(error))

    def _change_instrument(self) -> None:
        now = self._desk.instrument
        if self._instrument is not None and (now is None or now.id != self._instrument.id):
            self._leave_instrument()
        self._offer_last()

    def _rename(self, old: str, new: str) -> None:
        """Go on with the sitting of an instrument that has another short name."""
        if self._instrument is not None and self._instrument.id == old:
            self._instrument = self._instrument.model_copy(update={"id": new})

    def _leave_instrument(self) -> None:
        """End the sitting at once, and whatever is being connected just now."""
        if self._instrument is None:
            return
        self._instrument = None
        joined = self.bench.is_joined
        self.bench.stop()
        self.bench.part()
        self.sitting.end_live()
        self._steps.hide()
        self.target_shown.emit(None)
        self.needle_shown.emit(None)
        if joined:
            self.said.emit(self.tr("The board was let go: a calibration belongs to one instrument."))


def state_inside(ends: tuple[float, float], command: float) -> bool:
    """Return whether a command lies in a range."""
    return min(ends) <= command <= max(ends)
