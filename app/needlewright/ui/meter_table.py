"""Meter readings typed in, state by state, beside the computed figures; and what they correct."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from gaugecore.supply.compare import compare
from gaugecore.supply.meter import MeterReading, State
from gaugecore.supply.refit import Refit, refit
from gaugecore.supply.source import Supply
from gaugecore.supply.states import Draws, draw_in
from needlewright.ui.fields import fields_of
from needlewright.ui.font_size import with_letters
from needlewright.ui.translation import capital, in_words, translate

_MEASURED, _REMARK = 2, 3
#: The most that the model of a reading takes.
MOST_MA = next(field.high for field in fields_of(MeterReading) if field.name == "current_ma") or 0.0


def with_measured(supply: Supply, state: State, current_ma: float | None) -> tuple[object, ...]:
    """Return the meter readings with those of one whole state replaced by one; None takes them out.

    The new one is not yet checked: the document does that, and says what is wrong with it.
    """
    others = tuple(r for r in supply.measured if r.only or r.state is not state)
    return others if current_ma is None else (*others, {"state": state, "current_ma": current_ma})


class MeterTable(QWidget):
    """One row a state: computed, measured, and what the difference is laid on.

    Signals
    -------
    typed : State, float or None
        What the meter says in a state; None: nothing.
    take_over_wanted
        The corrected figures are to go into the panel.
    refused : str
        Why something typed is not taken.
    """

    typed = Signal(object, object)
    take_over_wanted = Signal()
    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._table = QTableWidget(len(State), 4)
        self._table.setAccessibleName(self.tr("Meter readings by state"))
        self._table.setHorizontalHeaderLabels(
            [self.tr("State"), self.tr("Computed"), self.tr("Meter, mA"), self.tr("Remark")]
        )
        self._table.verticalHeader().hide()
        self._table.verticalHeader().setMinimumSectionSize(26)
        self._table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self._table.setEditTriggers(QAbstractItemView.EditTrigger.AllEditTriggers)
        self._table.horizontalHeader().setStretchLastSection(True)
        for column, width in ((0, 88), (1, 74), (2, 72)):
            self._table.setColumnWidth(column, with_letters(width))
        self._corrections = QLabel()
        self._corrections.setWordWrap(True)
        self._corrections.setAccessibleName(self.tr("What the meter corrects"))
        self._take = QPushButton(self.tr("Take the corrected figures over"))
        row = QHBoxLayout()
        row.addWidget(self._take)
        row.addStretch()
        column_box = QVBoxLayout(self)
        column_box.setContentsMargins(8, 8, 8, 8)
        column_box.addWidget(self._table, 1)
        column_box.addWidget(self._corrections)
        column_box.addLayout(row)
        self._table.cellChanged.connect(self._note)
        self._take.clicked.connect(lambda: self.take_over_wanted.emit())

    def show_supply(self, supply: Supply, movements: Sequence[Draws]) -> None:
        """Show what is computed and what was measured."""
        rows = {row.state: row for row in compare(supply, movements) if not row.only}
        with QSignalBlocker(self._table):
            for at, state in enumerate(State):
                seen = rows.get(state)
                computed_ma = draw_in(supply, movements, state).typical_ma
                measured = _figure(seen.measured_ma) if seen is not None else ""
                remark = "" if seen is None else seen.suspect or self.tr("agrees")
                texts = (
                    capital(in_words(state)),
                    f"{computed_ma:.0f} mA",
                    measured,
                    remark,
                )
                for column, text in enumerate(texts):
                    self._table.setItem(at, column, _cell(text, typed=column == _MEASURED))
        self._table.resizeRowsToContents()
        fits = refit(supply, movements)
        self._corrections.setText(_in_words(fits) if fits else self._nothing_yet(supply))
        self._take.setEnabled(bool(fits))

    def type_in(self, state: State, text: str) -> None:
        """Type a figure into the row of a state."""
        item = self._table.item(list(State).index(state), _MEASURED)
        if item is not None:
            item.setText(text)

    def _nothing_yet(self, supply: Supply) -> str:
        if supply.measured:
            return self.tr("The meter corrects nothing.")
        return self.tr("Put a meter between source and panel, and type what it says in each state.")

    def _note(self, row: int, column: int) -> None:
        item = self._table.item(row, column)
        if column != _MEASURED or item is None:
            return
        text = item.text().strip()
        try:
            current_ma = float(text.replace(",", ".").replace("−", "-").removesuffix("mA")) if text else None
        except ValueError:
            current_ma = math.nan
        if current_ma is not None and not 0 <= current_ma <= MOST_MA:
            self.refused.emit(
                self.tr("A meter reading: found {0}; accepted: a current of 0 to {1:.0f} mA.").format(
                    text, MOST_MA
                )
            )
            return
        self.typed.emit(list(State)[row], current_ma)


def _in_words(fits: Sequence[Refit]) -> str:
    said = [f"{fit.name}: {_figure(fit.before)} → {_figure(fit.after)} {fit.unit}" for fit in fits[:4]]
    more = f"; and {len(fits) - 4} more" if len(fits) > 4 else ""
    return translate("meter_table", "The meter corrects: ") + "; ".join(said) + more + "."


def _figure(number: float) -> str:
    """Return four figures of a number, and all of one that has more before its point."""
    return f"{number:.0f}" if abs(number) >= 1000 else f"{number:.4g}"


def _cell(text: str, *, typed: bool) -> QTableWidgetItem:
    item = QTableWidgetItem(text)
    item.setToolTip(text)
    if not typed:
        item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
    return item
