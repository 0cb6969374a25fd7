"""The response of the needle to a trace: choose one, see what the needle makes of it."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pyqtgraph
from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gaugecore.errors import NeedlewrightError
from gaugecore.panel.document import Instrument
from needlewright.ui.number_box import LoneNumber
from needlewright.ui.plots import new_plot, wear
from needlewright.ui.response_work import SIGNALS, STEP, Response, response, thinned
from needlewright.ui.window_words import window_words

Question = partial[Response]
#: An answer that takes longer is worth a word.
_LATE_MS = 400


def _worked_out(instrument: Instrument, source: str | Path, rate_hz: float) -> Response:
    """Return the response; a refusal is an answer too."""
    try:
        return response(instrument, source, rate_hz)
    except NeedlewrightError as error:
        return Response(words=str(error))


class ResponseBox(QWidget):
    """Trace, rate, plot, and the figures in words.

    Signals
    -------
    changed
        Another trace or rate was chosen.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown = Response()
        self._trace = QComboBox()
        self._trace.setAccessibleName(self.tr("Trace"))
        for shape in SIGNALS:
            self._trace.addItem(self._words(shape), shape)
        self._open = QPushButton(self.tr("Recording…"))
        self._open.setToolTip(
            self.tr("Open a recording, CSV with a time_s column, or drop one on the window")
        )
        self._rate = LoneNumber(
            self.tr("Values a second that the simulator gives"),
            low=0.5,
            high=200.0,
            value=20.0,
            unit=self.tr("values/s"),
            decimals=1,
        )
        self._figures = QLabel()
        self._figures.setWordWrap(True)
        self._figures.setAccessibleName(self.tr("What the needle makes of the trace"))
        self._figures.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._plot = new_plot(
            self.tr("Wanted and needle over time"),
            left=self.tr("Dial angle, °"),
            bottom=self.tr("Time, s; dashed: wanted"),
        )
        self._working = self._working_row()
        self._asked: tuple[str, object] = ("", None)
        self._late = QTimer(self)
        self._late.setSingleShot(True)
        self._late.setInterval(_LATE_MS)
        self._late.timeout.connect(self._say_working)
        row = QHBoxLayout()
        row.addWidget(self._trace, 1)
        row.addWidget(self._open)
        row.addWidget(self._rate)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 6)
        column.addLayout(row)
        column.addWidget(self._plot, 1)
        column.addWidget(self._working)
        column.addWidget(self._figures)
        self._trace.currentIndexChanged.connect(lambda _: self.changed.emit())
        self._rate.valueChanged.connect(lambda _: self.changed.emit())
        self._open.clicked.connect(lambda: self._ask_for_file())
        self._take_colours()

    @property
    def has_answer(self) -> bool:
        """Return whether a response is shown."""
        return self._shown.replayed is not None

    def question(self, instrument: Instrument) -> Question:
        """Return the errand for what is chosen."""
        asked = (instrument.id, self._trace.currentData())
        if asked != self._asked:
            self._plot.clear()
            self._say_working()
        else:  # an edit is answered soon, and must not make the picture flicker
            self._late.start()
        self._asked = asked
        return partial(_worked_out, instrument, self._trace.currentData(), self._rate.value())

    def open_recording(self, path: Path) -> None:
        """Take a recording as the trace."""
        at = self._trace.findData(path)
        if at < 0:
            self._trace.addItem(path.name, path)
            at = self._trace.count() - 1
        self._trace.setCurrentIndex(at)

    def show_response(self, made: Response) -> None:
        """Show a response, or why there is none."""
        self._shown = made
        self._figures.setText(window_words(made.words))
        self._late.stop()
        self._working.hide()
        self._plot.clear()
        if made.replayed is None:
            return
        times, wanted, needle = thinned(made.replayed)
        palette = self.palette()
        quiet = palette.color(QPalette.ColorRole.PlaceholderText)
        accent = palette.color(QPalette.ColorRole.Highlight)
        self._plot.plot(times, wanted, pen=pyqtgraph.mkPen(quiet, width=1.5, style=Qt.PenStyle.DashLine))
        self._plot.plot(times, needle, pen=pyqtgraph.mkPen(accent, width=1.5))

    def _say_working(self) -> None:
        self._figures.setText(self.tr("Working out what the needle makes of it…"))
        self._working.show()

    def _working_row(self) -> QWidget:
        """Return what is shown while a trace is worked out; a long recording takes some seconds."""
        bar = QProgressBar()
        bar.setRange(0, 0)
        bar.setAccessibleName(self.tr("The response is being worked out"))
        cancel = QPushButton(self.tr("Call it off"))
        cancel.clicked.connect(lambda: self._trace.setCurrentIndex(self._trace.findData(STEP)))
        row = QWidget()
        inner = QHBoxLayout(row)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.addWidget(bar, 1)
        inner.addWidget(cancel)
        row.hide()
        return row

    def changeEvent(self, event: QEvent) -> None:
        """Follow the palette between light and dark."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_plot"):
            self._take_colours()

    def _take_colours(self) -> None:
        wear(self._plot, self.palette())
        if self._shown.words:  # else there is nothing yet, or something on its way
            self.show_response(self._shown)

    def _ask_for_file(self) -> None:
        chosen, _ = QFileDialog.getOpenFileName(
            self, self.tr("Open recording"), str(Path.home()), self.tr("Recordings (*.csv);;All files (*)")
        )
        if chosen:
            self.open_recording(Path(chosen))

    def _words(self, shape: str) -> str:
        return {
            "step": self.tr("Step, end to end"),
            "sine": self.tr("Signal: sine, 8 s"),
            "ramp": self.tr("Signal: ramp, 8 s"),
            "steps": self.tr("Signal: stop to stop"),
            "walk": self.tr("Signal: random walk"),
        }[shape]
