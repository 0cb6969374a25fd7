"""The supply stage: what feeds the panel, what hangs on it, what is left, and what the meter says."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QSplitter, QTabWidget, QVBoxLayout, QWidget

from gaugecore.errors import NeedlewrightError
from gaugecore.panel.edit import Place
from gaugecore.panel.from_meter import taken_over
from gaugecore.supply.meter import State
from gaugecore.supply.refit import refit
from gaugecore.supply.states import draws
from needlewright.ui.desk import Desk
from needlewright.ui.inspector import Part, Sections
from needlewright.ui.inspector_page import InspectorPage
from needlewright.ui.meter_table import MeterTable, with_measured
from needlewright.ui.supply_bars import SupplyBars
from needlewright.ui.translation import in_words, translate


class SupplyStage(QWidget):
    """Bars of every state and the meter's readings, above the form over the supply.

    Signals
    -------
    said : str
        Something for the message strip.
    """

    said = Signal(str)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._source = SupplyBars()
        self._apart = SupplyBars()
        self.meter = MeterTable()
        bars = QWidget()
        stack = QVBoxLayout(bars)
        stack.setContentsMargins(8, 8, 8, 4)
        for widget in (self._source, self._apart):
            stack.addWidget(widget)
        stack.addStretch()
        self.tabs = QTabWidget()
        self.tabs.addTab(bars, self.tr("Computed"))
        self.tabs.addTab(self.meter, self.tr("Measured beside it"))
        self.form = InspectorPage(desk, _sections)
        self._place()
        self.meter.typed.connect(self._note)
        self.meter.refused.connect(self._refuse)
        self.meter.take_over_wanted.connect(self._take_over)
        desk.document.changed.connect(lambda _: self.refresh())
        self.refresh()

    def _place(self) -> None:
        above = QWidget()
        inner = QVBoxLayout(above)
        inner.setContentsMargins(12, 8, 12, 4)
        inner.addWidget(self.tabs)
        halves = QSplitter(Qt.Orientation.Vertical)
        halves.setChildrenCollapsible(False)
        halves.setHandleWidth(1)
        halves.addWidget(above)
        halves.addWidget(self.form)
        halves.setStretchFactor(1, 1)
        halves.setSizes([320, 260])
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(halves)

    def refresh(self) -> None:
        """Show what the panel draws now, and what the meter said."""
        panel = self._desk.document.panel
        supply, movements = panel.supply, [instrument.movement for instrument in panel.instruments]
        states = draws(supply, movements)
        self._source.show_draws(states, supply.source_limit_ma, of_movements=False)
        self._apart.setVisible(supply.movements_apart)
        self._apart.show_draws(
            [draw for draw in states if draw.movements_worst_ma > 0],
            supply.movements_source_limit_ma,
            of_movements=True,
        )
        self.meter.show_supply(supply, movements)

    def _note(self, state: State, current_ma: float | None) -> None:
        document = self._desk.document
        measured = with_measured(document.panel.supply, state, current_ma)
        word = in_words(state)
        name = (
            self.tr("meter, {0}: {1} mA").format(word, f"{current_ma:.10g}")
            if current_ma is not None
            else self.tr("no meter reading, {0}").format(word)
        )
        try:
            document.edit(("supply", "measured"), measured, name)
        except NeedlewrightError as error:
            self._refuse(str(error))

    def _refuse(self, why: str) -> None:
        self.said.emit(why)
        self.refresh()

    def _take_over(self) -> None:
        panel = self._desk.document.panel
        fits = refit(panel.supply, [instrument.movement for instrument in panel.instruments])
        try:
            corrected = taken_over(panel, fits)
        except NeedlewrightError as error:
            self.said.emit(str(error))
            return
        self._desk.document.replace(
            corrected, self.tr("take {0} figures over from the meter").format(len(fits))
        )
        self.said.emit(self.tr("{0} figures taken over from the meter.").format(len(fits)))


def _sections(_instrument: Place) -> Sections:
    return (Part(translate("stage_supply", "Supply"), ("supply",)),)
