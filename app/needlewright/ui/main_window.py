"""The window: places the parts, joins their signals, and owns the one way down."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QFrame, QMainWindow, QSplitter, QVBoxLayout, QWidget

from gaugecore.findings import Finding
from gaugecore.panel.document import Panel
from needlewright.ui.background import Background
from needlewright.ui.checking import Checking
from needlewright.ui.commands import Commands
from needlewright.ui.desk import Desk, Stage
from needlewright.ui.dial_view import DialView
from needlewright.ui.document import PanelDocument
from needlewright.ui.escape import EscapeWatch
from needlewright.ui.findings_list import FindingsList
from needlewright.ui.instrument_list import InstrumentList
from needlewright.ui.mishap import Mishap
from needlewright.ui.needles import CALIBRATION, DRIVE
from needlewright.ui.open_files import OpenFile
from needlewright.ui.recovery import Recovery
from needlewright.ui.stage_row import StageRow
from needlewright.ui.stages import Stages
from needlewright.ui.status import instrument_of, stage_of, statuses
from needlewright.ui.strip import MessageStrip

if TYPE_CHECKING:
    from gaugecore.panel.remedies import Remedy

#: Where whoever has the needles is seen at work.
_STAGE_OF = {CALIBRATION: Stage.CALIBRATION, DRIVE: Stage.OUTPUT}
_SMALLEST = (1024, 640)
_FIRST = (1280, 720)
_COLUMNS = (280, 590, 410)


class MainWindow(QMainWindow):
    """One bench: stages above, instruments and findings left, the dial in the middle, the stage right."""

    def __init__(self, panel: Panel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = PanelDocument(panel, parent=self)
        self.desk = Desk(self.document, self)
        self.background = Background(self)
        self.checking = Checking(self.document, self.background, self)
        self.recovery = Recovery(self.document, self.background, self)
        self.open_file = OpenFile(self.document, self)
        self.strip = MessageStrip()
        self.mishap = Mishap(self.strip, self.recovery, self)
        self.dial = DialView(self.desk)
        self.row = StageRow(self.desk)
        self.findings = FindingsList()
        self.stages = Stages(self.desk, self.background)
        self.commands = Commands(self)
        self._escape_watch = EscapeWatch(self.stages.stop_needles, self)
        self._escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), self)
        self._escape.setEnabled(False)
        self._place()
        self._join()
        self._show_title()
        self.checking.check_soon()

    def go_to(self, finding: Finding | None) -> None:
        """Open the stage of a finding, select what it is about, and ring the place on the dial."""
        if finding is not None:
            if instrument_of(finding):
                self.desk.take_instrument(instrument_of(finding))
            self.desk.open_stage(stage_of(finding))
            self.desk.select_part(".".join(finding.place.split(".")[2:]) if instrument_of(finding) else "")
            self.stages.reveal(finding.place)
        self.dial.point_out(finding)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take files that are dragged in."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open what was dropped: a panel, or readings for the instrument on the canvas."""
        for url in event.mimeData().urls():
            self.commands.take_file(Path(url.toLocalFile()))

    def event(self, event: QEvent) -> bool:
        """Stop a calibration when the window is left, whatever stage is open; a drive goes on."""
        if event.type() == QEvent.Type.WindowDeactivate:
            self.stages.leave_window()  # a hidden page would not hear of it itself
        return super().event(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask about unsaved changes, then stop everything that runs, in one path."""
        if not self.commands.may_leave():
            event.ignore()
            return
        self.shut_down()
        event.accept()

    def shut_down(self) -> None:
        """Stop everything that runs, and forget what was put aside."""
        self._escape_watch.watch(False)
        self.stages.shut_down()
        self.background.stop()
        self.recovery.let_go()
        self.open_file.let_go()

    def _place(self) -> None:
        self.setMinimumSize(*_SMALLEST)
        self.setAcceptDrops(True)
        self.resize(*_FIRST)
        margin = QSplitter(Qt.Orientation.Vertical)
        margin.addWidget(InstrumentList(self.desk))
        margin.addWidget(self.findings)
        margin.setSizes([170, 360])
        bench = QSplitter(Qt.Orientation.Horizontal)
        for widget in (margin, self.dial, self.stages):
            bench.addWidget(widget)
        bench.setSizes(list(_COLUMNS))
        bench.setStretchFactor(1, 1)
        for splitter in (margin, bench):
            splitter.setHandleWidth(1)
            splitter.setChildrenCollapsible(False)
        rule = QFrame()
        rule.setObjectName("rule")
        rule.setFixedHeight(1)
        middle = QWidget()
        column = QVBoxLayout(middle)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        for part, stretch in ((self.row, 0), (rule, 0), (bench, 1), (self.strip, 0)):
            column.addWidget(part, stretch)
        self.setCentralWidget(middle)
        self.dial.canvas.setFocus()

    def _join(self) -> None:
        self.document.begun.connect(self.strip.clear)
        self.document.place_changed.connect(self._show_title)
        self.document.changed.connect(lambda _: self._show_findings())
        self.desk.instrument_changed.connect(lambda _: self._show_findings())
        self.checking.found.connect(lambda _: self._show_findings())
        self.findings.chosen.connect(self.go_to)
        self.findings.remedy_wanted.connect(self._remedy)
        self.background.refused.connect(self.strip.refuse)
        self.background.broke.connect(self.mishap.show_error)
        self.dial.refused.connect(self._say_or_clear)
        self.stages.made.connect(self._join_page)
        self._escape.activated.connect(self.stages.stop_needles)
        self.desk.needles.changed.connect(self._show_holder)
        self.desk.stage_changed.connect(lambda _: self._show_holder())
        self.stages.open(self.desk.stage)

    def _remedy(self, finding: Finding) -> None:
        """Try to take a finding away; it is one edit, and can be undone."""
        from gaugecore.panel.remedies import remedy_of

        panel = self.document.panel
        self.strip.say(self.tr("Trying…"))

        def done(remedy: Remedy | None) -> None:
            if remedy is None:
                self.strip.say(self.tr("None of the tries takes this away without bringing something worse."))
            elif self.document.panel is not panel:
                self.strip.say(self.tr("The panel has changed meanwhile; ask again."))
            else:
                self.document.replace(remedy.panel, remedy.name)
                self.strip.say(self.tr("Done: {0}.").format(remedy.name))

        self.background.run(lambda: remedy_of(panel, finding), done)

    def _join_page(self, page: QWidget) -> None:
        """Let a page speak through the strip and the dial, as far as it has anything to say."""
        for name, take in (
            ("said", partial(self.strip.say, of=page)),
            ("worked", partial(self.strip.clear_of, page)),
            ("broke", self.mishap.show_error),
            ("target_shown", self.dial.show_target),
            ("needle_shown", self.dial.show_needle),
        ):
            signal = getattr(page, name, None)
            if signal is not None:
                signal.connect(take)

    def _show_holder(self) -> None:
        """Give Escape to the needles while any of them may move, and say so on every stage but theirs."""
        needles = self.desk.needles
        self._escape.setEnabled(bool(needles.holder))
        self._escape_watch.watch(bool(needles.holder))
        here = _STAGE_OF.get(needles.holder) is self.desk.stage
        self.strip.remind("" if here else needles.reminder)

    def _show_findings(self) -> None:
        instrument = self.desk.instrument
        mine = self.checking.findings_of(instrument.id if instrument is not None else "")
        self.findings.show_findings(mine)
        self.row.show_statuses(statuses(mine, instrument))

    def _show_title(self) -> None:
        name = self.document.path.name if self.document.path is not None else self.document.panel.title
        self.setWindowTitle(f"{name}[*] · Needlewright")
        self.setWindowModified(self.document.unsaved)

    def _say_or_clear(self, sentence: str) -> None:
        if sentence:
            self.strip.say(self.tr("The dial cannot be drawn: {0}.").format(sentence), of=self.dial)
        else:
            self.strip.clear_of(self.dial)
