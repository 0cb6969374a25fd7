"""The table stage: raw values in, whole-number commands out, and how exact they are."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pyqtgraph
from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QColor, QFontDatabase, QGuiApplication, QShowEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from gaugecore.board.serial_link import ports
from gaugecore.calibration.plot import DOWN_COLOUR, UP_COLOUR
from gaugecore.errors import NeedlewrightError
from gaugecore.files import write_whole
from gaugecore.panel.edit import Place
from gaugecore.table.from_fit import Wanted
from needlewright.ui.background import Background
from needlewright.ui.demands import TableDemands
from needlewright.ui.desk import VIRTUAL, Desk
from needlewright.ui.font_size import with_letters
from needlewright.ui.inspector import Part, Sections
from needlewright.ui.inspector_page import InspectorPage
from needlewright.ui.latest import Latest
from needlewright.ui.number_box import LoneNumber
from needlewright.ui.plots import new_plot, wear
from needlewright.ui.progress_row import ProgressRow
from needlewright.ui.table_work import TableView, no_instrument, table_view
from needlewright.ui.translation import translate
from needlewright.ui.upload_work import uploaded
from needlewright.ui.window_words import window_words
from needlewright.ui.wish_form import WishForm
from needlewright.ui.wishes import TableWishes
from needlewright.upload_job import UploadJob

#: A file of 65,536 rows is for machines; people see its head.
_MOST_SHOWN = 20_000
#: Rising and falling needle, the paper's two colours.
_COLOURS = (UP_COLOUR, DOWN_COLOUR)


class TableStage(QWidget):
    """Input range, demands, figures, error plot, code.

    Signals
    -------
    said : str
        Something for the message strip.
    """

    said = Signal(str)

    def __init__(self, desk: Desk, background: Background, demands: TableDemands) -> None:
        super().__init__()
        self._desk, self._demands = desk, demands
        self._view: TableView | None = None
        self._latest = Latest(background, self._question, self.show_view, self)
        desk.part_changed.connect(self._show_input)  # before the form: it only opens where it is seen
        self._input = InspectorPage(desk, _sections)
        self._most = LoneNumber(
            self.tr("Largest error allowed, in µs or steps"),
            low=0.01,
            high=100.0,
            value=demands.wanted.max_error,
            step=0.5,
        )
        self._most.setMinimumWidth(with_letters(86))
        self._one = QCheckBox(self.tr("One map for both directions"))
        self._clamp = QCheckBox(self.tr("Stop at the ends of the calibrated arc"))
        self.more = WishForm(
            self.tr("Further demands"),
            TableWishes(),
            untouched=self.tr("none"),
            first={"turn_back_by": 4, "timer_hz": 2_000_000.0, "most_flash_bytes": 512},
        )
        self._figures = QLabel()
        self._figures.setWordWrap(True)
        self._figures.setText(self.tr("Working the table out…"))
        self._figures.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._plot = new_plot(
            self.tr("Error of the table over the raw range"),
            left=self.tr("Table less fit"),
            bottom=self.tr("Raw value"),
        )
        self._form = QComboBox()
        self._form.setAccessibleName(self.tr("Form of the table"))
        self._code = QPlainTextEdit()
        self._code.setReadOnly(True)
        self._code.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self._code.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self._code.setAccessibleName(self.tr("The table as code"))
        self._row = ProgressRow(background, self.tr("How far the upload is"))
        self._tabs = QTabWidget()
        self._tabs.addTab(self._plot, self.tr("Error"))
        self._codes = self._code_page()
        self._tabs.addTab(self._codes, self.tr("Code"))
        self._tabs.addTab(self._input, self.tr("Input"))
        if desk.instrument is None or desk.instrument.calibration.fit is None:
            self._tabs.setCurrentWidget(self._input)
        self._place()
        for signal in (self._most.valueChanged, self._one.toggled, self._clamp.toggled, self.more.changed):
            signal.connect(lambda *_: self._demand())
        self._form.currentTextChanged.connect(self._show_code)
        desk.document.changed.connect(lambda _: self._ask_if_seen())
        desk.instrument_changed.connect(lambda _: self._ask_if_seen())
        wear(self._plot, self.palette())

    def show_view(self, view: TableView) -> None:
        """Show a table, or why there is none."""
        self._view = view
        for page in (self._plot, self._codes):
            self._tabs.setTabEnabled(self._tabs.indexOf(page), not view.refusal)
        if view.refusal:
            self._tabs.setCurrentWidget(self._input)
        self._figures.setText(window_words(view.refusal or view.figures))
        self._plot.clear()
        self._plot.setLabel("left", self.tr("Table less fit, {0}").format(view.unit))
        both = self.tr("Raw value; blue: dial angle rising, orange: falling")
        self._plot.setLabel("bottom", both if len(view.errors) > 1 else self.tr("Raw value"))
        for name, envelope in zip(_COLOURS, view.errors, strict=False):
            colour = QColor(name)
            colour.setAlpha(130)  # without outlines, so that each band is seen through the other
            edges = [pyqtgraph.PlotCurveItem(view.raw, edge, pen=None) for edge in envelope]
            for item in (*edges, pyqtgraph.FillBetweenItem(*edges, brush=colour)):
                self._plot.addItem(item)
        name = self._form.currentText()
        self._form.blockSignals(True)
        self._form.clear()
        self._form.addItems(list(view.files))
        self._form.setCurrentText(name if name in view.files else next(iter(view.files), ""))
        self._form.blockSignals(False)
        self._show_code()

    def showEvent(self, event: QShowEvent) -> None:
        """Work the table out when somebody looks."""
        super().showEvent(event)
        self._latest.ask_now()

    def shut_down(self) -> None:
        """Let an upload end before its next block."""
        self._row.call_off()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the palette between light and dark."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_plot"):
            wear(self._plot, self.palette())

    def _place(self) -> None:
        demands = QHBoxLayout()
        demands.setSpacing(8)
        label = QLabel(self.tr("Largest error, µs or steps"))
        label.setBuddy(self._most)
        for part in (label, self._most):
            demands.addWidget(part)
        demands.addStretch()
        lower = QVBoxLayout(self)
        lower.setContentsMargins(12, 10, 12, 8)
        lower.setSpacing(8)
        lower.addLayout(demands)
        for widget in (self._one, self._clamp, self.more):
            lower.addWidget(widget)
        lower.addWidget(self._tabs, 1)
        lower.addWidget(self._figures)  # below, so that nothing moves when there is more to say

    def _code_page(self) -> QWidget:
        copy, save = QPushButton(self.tr("Copy")), QPushButton(self.tr("Save…"))
        copy.clicked.connect(self._copy)
        save.clicked.connect(self._save)
        row = QHBoxLayout()
        row.addWidget(self._form, 1)
        row.addWidget(copy)
        row.addWidget(save)
        self._port = QComboBox()
        self._port.setEditable(True)
        self._port.setAccessibleName(self.tr("Port of the board to upload to"))
        self._port.addItems([*(device for device, _ in ports()), VIRTUAL])
        self._port.setCurrentText(self._desk.port)
        self._desk.port_changed.connect(self._port.setCurrentText)
        self._uploads = QPushButton(self.tr("Upload to the board"))
        self._uploads.clicked.connect(self._upload)
        self._row.busy_changed.connect(self._uploads.setHidden)
        self._limits = QCheckBox(self.tr("Set the board's limits to the range of the fit"))
        below = QHBoxLayout()
        below.addWidget(self._port, 1)
        below.addWidget(self._uploads)
        below.addWidget(self._row, 1)
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(6, 6, 6, 4)
        column.addLayout(row)
        column.addWidget(self._code, 1)
        column.addLayout(below)
        column.addWidget(self._limits)
        return page

    def _question(self) -> partial[TableView] | None:
        instrument = self._desk.instrument
        if instrument is None:
            self.show_view(no_instrument())
            return None
        return partial(table_view, self._desk.document.panel, instrument, self._demands.wanted)

    def _demand(self) -> None:
        more = self.more.wishes
        self._demands.take(
            Wanted(
                max_error=self._most.value(),
                one_map=self._one.isChecked(),
                clamp=self._clamp.isChecked(),
                hysteresis=more.turn_back_by,
                timer_hz=more.timer_hz,
                flash_bytes=more.most_flash_bytes,
                pin_ends=more.exact_ends,
            )
        )
        self._latest.ask()

    def _show_input(self, part: str) -> None:
        if part.startswith("raw") and self.isVisible():
            self._tabs.setCurrentWidget(self._input)

    def _ask_if_seen(self) -> None:
        if self.isVisible():
            self._latest.ask()

    def _content(self) -> bytes:
        return self._view.files.get(self._form.currentText(), b"") if self._view is not None else b""

    def _show_code(self) -> None:
        text = self._content().decode("utf-8")
        more = self.tr("… {0} more characters; copy or save for all.").format(len(text) - _MOST_SHOWN)
        cut = f"{text[:_MOST_SHOWN]}\n{more}"
        self._code.setPlainText(text if len(text) <= _MOST_SHOWN else cut)

    def _copy(self) -> None:
        QGuiApplication.clipboard().setText(self._content().decode("utf-8"))
        self.said.emit(self.tr("{0} is on the clipboard.").format(self._form.currentText()))

    def _save(self) -> None:
        name = self._form.currentText()
        chosen, _ = QFileDialog.getSaveFileName(self, self.tr("Save table"), str(Path.home() / name))
        if not chosen:
            return
        try:
            write_whole(Path(chosen), self._content())
        except NeedlewrightError as error:
            self.said.emit(str(error))
        else:
            self.said.emit(self.tr("Saved: {0}").format(chosen))

    def _upload(self) -> None:
        instrument = self._desk.instrument
        if instrument is None:
            return
        if self._desk.needles.refusal:
            self.said.emit(self._desk.needles.refusal)
            return
        panel, url, wanted = self._desk.document.panel, self._port.currentText().strip(), self._demands.wanted
        self._desk.take_port(url)
        said = self.tr("Uploading to {0}…").format(url)
        self.said.emit(said)
        job = UploadJob(
            max_error=wanted.max_error,
            hysteresis=wanted.hysteresis,
            clamp=wanted.clamp,
            one_map=wanted.one_map,
            set_limits=self._limits.isChecked(),
        )
        self._row.run(partial(uploaded, panel, instrument, url, job), self.said.emit, said)


def _sections(instrument: Place) -> Sections:
    return (Part(translate("stage_table", "Input"), (*instrument, "raw")),) if instrument else ()
