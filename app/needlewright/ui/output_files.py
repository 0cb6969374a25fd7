"""Files to cut, print, flash and keep: what to write, and where to."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import Signal
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

from gaugecore.errors import NeedlewrightError
from gaugecore.panel.document import Instrument
from gaugecore.panel.edit import Place
from needlewright.plate_files import FORMATS
from needlewright.ui.background import Background
from needlewright.ui.demands import TableDemands
from needlewright.ui.desk import Desk
from needlewright.ui.findings_list import sentence
from needlewright.ui.font_size import with_letters
from needlewright.ui.inspector import Part, Sections
from needlewright.ui.inspector_page import InspectorPage
from needlewright.ui.number_box import LoneNumber
from needlewright.ui.output_preview import OutputPreview
from needlewright.ui.output_work import Done, Order, Pictured, carried_out, pictured
from needlewright.ui.print_job import PrintJob
from needlewright.ui.progress_row import ProgressRow
from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate

_CAUTION = QT_TRANSLATE_NOOP(
    "output_files",
    "Print at actual size and measure the bars of the test card before cutting. Laser work needs extraction, "
    "somebody beside it all the time and a fire plan; never cut PVC. Local rules come first. Not for use in "
    "a real aircraft, vehicle or vessel.",
)


class OutputFiles(QWidget):
    """What to write, where to, and one button that does it.

    Signals
    -------
    said : str
        Something for the message strip.
    """

    said = Signal(str)

    def __init__(self, desk: Desk, background: Background, demands: TableDemands) -> None:
        super().__init__()
        self._desk, self._demands = desk, demands
        self._whose = QComboBox()
        self._whose.addItems([self.tr("Every instrument"), self.tr("Only the one on the canvas")])
        self._whose.setAccessibleName(self.tr("Instruments to write"))
        self._formats = {name: QCheckBox(name.upper()) for name in FORMATS}
        self._sheets = QCheckBox(self.tr("Sheets: all nested on the stock, kerf allowed for"))
        self._paper = QCheckBox(self.tr("Paper pages, A4, with bars that prove the print"))
        self._level = _bar(self.tr("Level bar of the last print"))
        self._upright = _bar(self.tr("Upright bar of the last print"))
        self._tables = QCheckBox(self.tr("Tables and firmware: C, MicroPython, CSV, JSON"))
        self._record = QCheckBox(self.tr("Record: build sheet and calibration, one PDF"))
        self._readings = QCheckBox(self.tr("Readings of every session, CSV"))
        self._replace = QCheckBox(self.tr("Replace files that are there already"))
        self._folder = QLineEdit()
        self._folder.setAccessibleName(self.tr("Folder to write to"))
        self._folder.setPlaceholderText(self.tr("Choose a folder"))
        self._choose = QPushButton(self.tr("Choose…"))
        self._write = QPushButton(self.tr("Write the files"))
        self._preview = QPushButton(self.tr("Look at it first…"))
        self._print = QPushButton(self.tr("Print…"))
        self._print.setToolTip(self.tr("The paper pages, at actual size, on a printer of this computer"))
        self._row = ProgressRow(background, self.tr("How far the work is"))
        self._demanded = QLabel()
        self._demanded.setObjectName("quiet")
        self._demanded.setWordWrap(True)
        self._demanded.setContentsMargins(22, 0, 0, 0)
        self._place()
        for box in self._formats.values():
            box.setChecked(True)
        self._record.setChecked(True)
        self._choose.clicked.connect(self._ask_for_folder)
        self._write.clicked.connect(lambda: self._carry_out())
        self._preview.clicked.connect(lambda: self._look())
        self._print.clicked.connect(lambda: self.print_pages())
        self._row.busy_changed.connect(self._show_busy)
        demands.changed.connect(lambda _: self._show_demands())
        self._show_demands()

    def _place(self) -> None:
        caution = QLabel(translate("output_files", _CAUTION))
        caution.setWordWrap(True)
        caution.setObjectName("quiet")
        formats = QHBoxLayout()
        formats.setSpacing(12)
        formats.addWidget(QLabel(self.tr("Plates and test card as")))
        for box in self._formats.values():
            formats.addWidget(box)
        formats.addStretch()
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        label = QLabel(self.tr("Folder"))
        label.setBuddy(self._folder)
        for column, widget in enumerate((label, self._folder, self._choose)):
            grid.addWidget(widget, 0, column)
        upper = QVBoxLayout()
        upper.setContentsMargins(12, 10, 12, 10)
        upper.setSpacing(8)
        upper.addWidget(self._whose)
        upper.addLayout(formats)
        bars = QHBoxLayout()
        bars.setContentsMargins(22, 0, 0, 0)
        bars.addWidget(QLabel(self.tr("Bars of the last print")))
        bars.addWidget(self._level)
        bars.addWidget(self._upright)
        bars.addStretch()
        upper.addWidget(self._sheets)
        upper.addWidget(self._paper)
        upper.addLayout(bars)
        for widget in (self._tables, self._demanded, self._record, self._readings):
            upper.addWidget(widget)
        upper.addLayout(grid)
        upper.addWidget(self._replace)
        buttons = QHBoxLayout()
        for button in (self._write, self._preview, self._print, self._row):
            buttons.addWidget(button, 1)
        upper.addLayout(buttons)
        upper.addWidget(caution)
        column_box = QVBoxLayout(self)
        column_box.setContentsMargins(0, 0, 0, 0)
        column_box.setSpacing(0)
        column_box.addLayout(upper)
        column_box.addWidget(InspectorPage(self._desk, _sections), 1)

    def call_off(self) -> None:
        """Write nothing more."""
        self._row.call_off()

    def _ask_for_folder(self) -> None:
        chosen = QFileDialog.getExistingDirectory(self, self.tr("Folder to write to"), str(self._start()))
        if chosen:
            self._folder.setText(chosen)

    def _start(self) -> Path:
        path = self._desk.document.path
        return path.parent if path is not None else Path.home()

    def _carry_out(self) -> None:
        if not self._folder.text().strip():
            self._ask_for_folder()
        if not self._folder.text().strip():
            return
        self.said.emit(self.tr("Writing…"))
        panel = self._desk.document.panel
        self._row.run(
            partial(carried_out, panel, self._instruments(), self._order()),
            self._written,
            self.tr("Writing…"),
        )

    def _look(self) -> None:
        """Draw what would be written, and show it."""
        self.said.emit(self.tr("Drawing…"))
        panel = self._desk.document.panel
        self._row.run(
            partial(pictured, panel, self._instruments(), self._order()),
            self._show_preview,
            self.tr("Drawing…"),
        )

    def print_pages(self) -> None:
        """Print the paper pages at true size, on a printer the user chooses."""
        job = PrintJob(self._desk.document.panel, (self._level.value(), self._upright.value()))
        if job.ask(self):
            self.said.emit(self.tr("Printing…"))
            self._row.run(job.draw, lambda _: self._send(job), self.tr("Printing…"))

    def _send(self, job: PrintJob) -> None:
        try:
            self.said.emit(job.send())
        except NeedlewrightError as error:
            self.said.emit(str(error))

    def _show_preview(self, pictured: Pictured) -> None:
        preview = OutputPreview(pictured.drawings, pictured.record, self)
        self.said.emit(self.tr("{0} pages and drawings.").format(preview.names.count()))
        preview.show()

    def _order(self) -> Order:
        return Order(
            plates=tuple(name for name, box in self._formats.items() if box.isChecked()),
            sheets=self._sheets.isChecked(),
            paper=(self._level.value(), self._upright.value()) if self._paper.isChecked() else None,
            tables=self._tables.isChecked(),
            wanted=self._demands.wanted,
            record=self._record.isChecked(),
            readings=self._readings.isChecked(),
            folder=Path(self._folder.text().strip()).expanduser(),
            replace=self._replace.isChecked(),
        )

    def _instruments(self) -> tuple[Instrument, ...]:
        current = self._desk.instrument
        if self._whose.currentIndex() == 1 and current is not None:
            return (current,)
        return self._desk.document.panel.instruments

    def _show_demands(self) -> None:
        wanted = self._demands.wanted
        said = [self.tr("as at the table stage: at most {0:g} µs or steps off").format(wanted.max_error)]
        said += [self.tr("one map for both directions")] if wanted.one_map else []
        further = (wanted.hysteresis, wanted.timer_hz, wanted.flash_bytes, wanted.pin_ends or None)
        said += [self.tr("and the further demands")] if any(one is not None for one in further) else []
        said += [self.tr("stopping at the ends of the calibrated arc")] if wanted.clamp else []
        self._demanded.setText(", ".join(said))

    def _show_busy(self, busy: bool) -> None:
        for button in (self._write, self._preview, self._print):
            button.setVisible(not busy)

    def _written(self, done: Done) -> None:
        paths = done.paths
        names = ", ".join(path.name for path in paths[:4])
        more = f" and {len(paths) - 4} more" if len(paths) > 4 else ""
        notes = "".join(f" {sentence(note)}" for note in done.notes)
        self.said.emit(self.tr("Written to {0}: {1}{2}.{3}").format(paths[0].parent, names, more, notes))


def _bar(spoken: str) -> LoneNumber:
    box = LoneNumber(spoken, low=90.0, high=110.0, value=100.0, unit="mm", step=0.1)
    box.setMinimumWidth(with_letters(96))
    box.setToolTip(
        translate(
            "output_files",
            "100 mm when the print is true; type what a ruler says, and the next print is right",
        )
    )
    return box


def _sections(instrument: Place) -> Sections:
    panel = Part(translate("output_files", "Panel"), (), ("title", "note", "stock", "machine"))
    return (
        (panel, Part(translate("output_files", "Making of this instrument"), (*instrument, "making")))
        if instrument
        else (panel,)
    )
