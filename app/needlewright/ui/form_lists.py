"""Forms over lists: parts that can be added, moved and removed, and tables of pairs."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from gaugecore.errors import NeedlewrightError
from gaugecore.panel.edit import Place, value_at
from needlewright.ui.document import PanelDocument
from needlewright.ui.fields import Field, words
from needlewright.ui.form import PartForm, complaint
from needlewright.ui.section import Section
from needlewright.ui.starting_values import new_part
from needlewright.ui.tab_order import put_in_order_soon
from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate


class PartsForm(Section):
    """A list of parts, each a section of its own."""

    entered = Signal(object)

    def __init__(self, document: PanelDocument, place: Place, field: Field) -> None:
        super().__init__(field.label)
        self._document, self._place, self._field = document, place, field
        self._one = _singular(field.label)
        self._forms: list[PartForm] = []
        self._add = QToolButton()
        self._add.setObjectName("adder")
        self._add.setText(f"+  {self._one}")
        self._add.setAccessibleName(self.tr("Add {0}").format(self._one.lower()))
        self._add.clicked.connect(self._put_in)
        self.body.addWidget(self._add)
        self.opened.connect(self.refresh)

    def refresh(self) -> None:
        """Show the document as it is now."""
        parts = value_at(self._document.panel, self._place)
        self.set_summary(self.tr("none") if not parts else f"{len(parts)}")
        if not self.is_open:
            return
        while len(self._forms) > len(parts):
            form = self._forms.pop()
            self.body.removeWidget(form)
            form.hide()
            form.deleteLater()
        while len(self._forms) < len(parts):
            at = len(self._forms)
            form = PartForm(
                self._document,
                (*self._place, at),
                title=f"{self._one} {at + 1}",
                on_remove=partial(self._take_out, at),
            )
            form.entered.connect(self.entered)
            self._forms.append(form)
            self.body.insertWidget(at, form)
            put_in_order_soon(self)
        for form in self._forms:
            form.refresh()

    def reveal(self, place: Place) -> QWidget | None:
        """Open down to a place."""
        self.set_open(True)
        for form in self._forms:
            if (found := form.reveal(place)) is not None:
                return found
        return self

    def _put_in(self) -> None:
        parts = value_at(self._document.panel, self._place)
        owner = value_at(self._document.panel, self._place[:-1])
        added = new_part(self._field.types[0], owner)
        self._document.edit(self._place, (*parts, added), self.tr("add {0}").format(self._one.lower()))
        self._forms[-1].set_open(True)

    def _take_out(self, at: int) -> None:
        parts = value_at(self._document.panel, self._place)
        self._document.edit(
            self._place,
            (*parts[:at], *parts[at + 1 :]),
            self.tr("remove {0} {1}").format(self._one.lower(), at + 1),
        )


class PairsForm(Section):
    """A table of pairs, such as the points of a scale."""

    entered = Signal(object)

    def __init__(self, document: PanelDocument, place: Place, field: Field) -> None:
        super().__init__(field.label)
        self._document, self._place, self._field = document, place, field
        self._table = QTableWidget(0, len(field.types))
        self._table.setAccessibleName(field.label)
        self._table.setHorizontalHeaderLabels(_columns(field))
        self._table.horizontalHeader().setStretchLastSection(True)
        self._table.verticalHeader().hide()
        self._table.setMinimumHeight(150)
        self._table.cellChanged.connect(self._give)
        self._complaint = QLabel()
        self._complaint.setObjectName("complaint")
        self._complaint.setWordWrap(True)
        self._complaint.hide()
        add, remove = QPushButton(self.tr("Add row")), QPushButton(self.tr("Remove row"))
        add.clicked.connect(self._put_in)
        remove.clicked.connect(self._take_out)
        row = QHBoxLayout()
        row.addWidget(add)
        row.addWidget(remove)
        row.addStretch()
        inside = QVBoxLayout()
        inside.addWidget(self._table)
        inside.addWidget(self._complaint)
        inside.addLayout(row)
        self.body.addLayout(inside)
        self.opened.connect(self.refresh)

    def refresh(self) -> None:
        """Show the document as it is now."""
        pairs = value_at(self._document.panel, self._place)
        self.set_summary(self.tr("none") if not pairs else self.tr("{0} rows").format(len(pairs)))
        if not self.is_open:
            return
        with QSignalBlocker(self._table):
            self._table.setRowCount(len(pairs))
            for at, pair in enumerate(pairs):
                for column, value in enumerate(pair):
                    self._table.setItem(at, column, QTableWidgetItem(_cell(value)))
        self._say("")

    def reveal(self, place: Place) -> QWidget | None:
        """Open down to a place."""
        self.set_open(True)
        return self

    def _give(self, *_: int) -> None:
        try:
            pairs = tuple(
                tuple(self._value(at, column) for column in range(self._table.columnCount()))
                for at in range(self._table.rowCount())
            )
            self._document.edit(
                self._place, pairs, self.tr("{0}, {1} rows").format(self._field.label.lower(), len(pairs))
            )
        except ValueError as error:
            said = complaint(error) if isinstance(error, NeedlewrightError) else f"{error}."
            self._say(self.tr("Not taken: {0}").format(said))

    def _value(self, at: int, column: int) -> Any:
        item = self._table.item(at, column)
        text = item.text().strip() if item is not None else ""
        if self._field.types[column] is str:
            return text
        try:
            return float(text.replace(",", ".").replace("−", "-"))
        except ValueError:
            raise ValueError(self.tr("row {0} wants a number, found {1!r}").format(at + 1, text)) from None

    def _put_in(self) -> None:
        pairs = value_at(self._document.panel, self._place)
        self._document.edit(
            self._place,
            (*pairs, self._next(pairs)),
            self.tr("add a row to {0}").format(self._field.label.lower()),
        )

    def _next(self, pairs: tuple[Any, ...]) -> tuple[Any, ...]:
        """Return a row that goes on as the last two did, so that the list stays valid."""
        if len(pairs) >= 2:
            return tuple(
                b + (b - a) * 0.1 if isinstance(b, int | float) else b
                for a, b in zip(pairs[-2], pairs[-1], strict=True)
            )
        return tuple("" if column is str else float(len(pairs)) for column in self._field.types)

    def _take_out(self) -> None:
        pairs = value_at(self._document.panel, self._place)
        at = self._table.currentRow()
        if not 0 <= at < len(pairs):
            self._say(self.tr("Choose the row to remove first."))
            return
        try:
            self._document.edit(
                self._place,
                (*pairs[:at], *pairs[at + 1 :]),
                self.tr("remove row {0} of {1}").format(at + 1, self._field.label.lower()),
            )
        except NeedlewrightError as error:
            self._say(self.tr("Not taken: {0}").format(complaint(error)))

    def _say(self, sentence: str) -> None:
        self._complaint.setText(sentence)
        self._complaint.setVisible(bool(sentence))


def _singular(label: str) -> str:
    return label[:-1] if label.endswith("s") else label


def _cell(value: object) -> str:
    return f"{value:.10g}" if isinstance(value, int | float) else str(value)


_COLUMNS = {
    "points": (
        QT_TRANSLATE_NOOP("form_lists", "value"),
        QT_TRANSLATE_NOOP("form_lists", "dial angle °"),
    ),
    "texts": (QT_TRANSLATE_NOOP("form_lists", "value"), QT_TRANSLATE_NOOP("form_lists", "text")),
    "torque_curve": ("steps/s", QT_TRANSLATE_NOOP("form_lists", "torque mN·m")),
}


def _columns(field: Field) -> list[str]:
    named = _COLUMNS.get(field.name)
    if named is not None:
        return [translate("form_lists", name) for name in named]
    return [f"{words(field.name)} {i + 1}" for i in range(len(field.types))]
