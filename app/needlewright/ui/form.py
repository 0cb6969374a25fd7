"""A form over one part of the panel: a section with a row a field, and sections for the parts below it."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QToolButton, QVBoxLayout, QWidget

from gaugecore.errors import DocumentError, NeedlewrightError
from gaugecore.panel.edit import Place, value_at
from needlewright.ui.document import PanelDocument
from needlewright.ui.editors import NumberEditor, is_for_the_document, takers_of_keys
from needlewright.ui.fields import Field, Kind, fields_of, words
from needlewright.ui.font_size import with_letters
from needlewright.ui.form_row import LABEL_PX, FieldRow
from needlewright.ui.section import Section
from needlewright.ui.starting_values import changed_kind, first_value
from needlewright.ui.step_names import step_name, summary_of
from needlewright.ui.tab_order import put_in_order_soon

#: Arrow keys held down are one step to undo, as long as no pause is longer than this.
_ONE_BURST_S = 0.8


class PartForm(Section):
    """A section that edits the part at a place.

    Signals
    -------
    entered : Place
        The user is at work on the field there.
    """

    entered = Signal(object)

    def __init__(
        self,
        document: PanelDocument,
        place: Place,
        *,
        title: str,
        opened: bool = False,
        only: tuple[str, ...] = (),
        unfold: bool = False,
        on_remove: Callable[[], None] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(title, parent)
        self._document, self._place, self._only, self._unfold = document, place, only, unfold
        self._model: type | None = None
        self._rows: dict[str, FieldRow] = {}
        self._below: dict[str, QWidget] = {}
        self._burst = ("", "", 0.0)
        if on_remove is not None:
            self.add_action(self.tr("Remove"), on_remove)
        self.opened.connect(self.refresh)
        self.set_open(opened)
        self.refresh()

    @property
    def place(self) -> Place:
        """Return the place in the panel."""
        return self._place

    def refresh(self) -> None:
        """Show the document as it is now; what is folded away is only summed up."""
        try:
            part = value_at(self._document.panel, self._place)
        except DocumentError:
            return  # the section above is about to take this one away
        self.set_summary("" if self.is_open else summary_of(part))
        if not self.is_open:
            return
        if type(part) is not self._model:
            self._build(type(part))
        for name, row in self._rows.items():
            row.show_value(getattr(part, name))
        for widget in self._below.values():
            widget.refresh()  # type: ignore[attr-defined]

    def reveal(self, place: Place) -> QWidget | None:
        """Open down to a place at or below this one; return the widget that shows it."""
        if place[: len(self._place)] != self._place:
            return None
        self.set_open(True)
        rest = place[len(self._place) :]
        if not rest:
            return self
        name = str(rest[0])
        if name in self._rows:
            self._rows[name].take_focus()
            return self._rows[name]
        below = self._below.get(name)
        if below is None:
            # a section over some of the fields leaves the others to the next section
            return None if self._only else self
        return below.reveal(place) or self  # type: ignore[attr-defined]

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Say where the user is at work, and leave undo to the document where nothing is being typed."""
        if event.type() == QEvent.Type.FocusIn:
            name = watched.property("field")
            self.entered.emit((*self._place, name))
        elif event.type() == QEvent.Type.ShortcutOverride:
            assert isinstance(watched, QWidget)
            assert isinstance(event, QKeyEvent)
            if is_for_the_document(watched, event):
                event.ignore()  # the menu's key then has it
                return True
        return False

    def _build(self, model: type) -> None:
        from needlewright.ui.form_lists import PairsForm, PartsForm

        self.clear_body()
        self._rows, self._below, self._model = {}, {}, model
        fields = [field for field in fields_of(model) if not self._only or field.name in self._only]
        if self._only:
            fields.sort(key=lambda field: self._only.index(field.name))
        for field in fields:
            if field.kind in (Kind.PARTS, Kind.PAIRS):
                form = PartsForm if field.kind is Kind.PARTS else PairsForm
                self._put_below(field, form(self._document, (*self._place, field.name), field))
            elif field.kind is Kind.ONE_OF:
                self._put_below(field, OneOfForm(self._document, (*self._place, field.name), field))
            elif field.kind is Kind.PART:
                self._put_below(field, _part_or_none(self._document, (*self._place, field.name), field))
            else:
                self._put_row(field)
        put_in_order_soon(self)

    def _put_row(self, field: Field) -> None:
        row = FieldRow(field)
        row.given.connect(partial(self._give, row))
        row.set_wanted.connect(partial(self._set, row))
        for widget in (*takers_of_keys(row.editor), row.label):
            widget.setProperty("field", field.name)
            widget.installEventFilter(self)
        if isinstance(row.editor, NumberEditor):
            row.editor.ended.connect(self._end_burst)
        self._rows[field.name] = row
        self.body.addWidget(row)

    def _put_below(self, field: Field, widget: Any) -> None:
        widget.entered.connect(self.entered)
        self._below[field.name] = widget
        self.body.addWidget(widget)
        if self._unfold and hasattr(widget, "set_open"):
            widget.set_open(True)

    def _give(self, row: FieldRow, value: object) -> None:
        field = row.field
        where = self._place[1] if self._place[0] == "instruments" and len(self._place) > 1 else ""
        name = step_name(field, value, str(where))
        try:
            self._document.edit((*self._place, field.name), value, name, group=self._group(field))
        except NeedlewrightError as error:
            row.complain(self.tr("Not taken: ") + complaint(error))

    def _set(self, row: FieldRow) -> None:
        owner = value_at(self._document.panel, self._place)
        self._give(row, first_value(row.field, owner))

    def _end_burst(self) -> None:
        self._burst = ("", "", 0.0)

    def _group(self, field: Field) -> str:
        if field.kind not in (Kind.NUMBER, Kind.WHOLE):
            return ""
        name, group, last_s = self._burst
        now_s = time.monotonic()
        if name != field.name or now_s - last_s > _ONE_BURST_S:
            group = self._document.new_group(field.name)
        self._burst = (field.name, group, now_s)
        return group


class OneOfForm(QWidget):
    """A part that is one of several models: a choice of the kind, and the form of the one it is."""

    entered = Signal(object)

    def __init__(self, document: PanelDocument, place: Place, field: Field) -> None:
        super().__init__()
        self._document, self._place, self._field = document, place, field
        self._choice = QComboBox()
        self._choice.setAccessibleName(self.tr("{0}, kind").format(field.label))
        for model in field.types:
            self._choice.addItem(words(str(model.model_fields["kind"].default)), model)
        self._choice.activated.connect(self._change)
        label = QLabel(self.tr("Kind of {0}").format(field.label.lower()))
        label.setFixedWidth(with_letters(LABEL_PX))
        label.setBuddy(self._choice)
        self._form = PartForm(document, place, title=field.label)
        self._form.entered.connect(self.entered)
        row = QHBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(label)
        row.addWidget(self._choice, 1)
        self._form.head.addLayout(row)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._form)

    def refresh(self) -> None:
        """Show the document as it is now."""
        part = value_at(self._document.panel, self._place)
        self._choice.setCurrentIndex(self._field.types.index(type(part)))
        self._form.refresh()

    def reveal(self, place: Place) -> QWidget | None:
        """Open down to a place."""
        return self._form.reveal(place)

    def set_open(self, wanted: bool) -> None:
        """Fold or unfold."""
        self._form.set_open(wanted)

    def _change(self, at: int) -> None:
        model = self._choice.itemData(at)
        before = value_at(self._document.panel, self._place)
        if type(before) is model:
            return
        owner = value_at(self._document.panel, self._place[:-1])
        name = f"{self._field.label.lower()} to {self._choice.itemText(at).lower()}"
        self._document.edit(self._place, changed_kind(model, before, owner), name)


class MaybePart(QWidget):
    """A part that may be missing: a line to add it, or its form with a way to remove it."""

    entered = Signal(object)

    def __init__(self, document: PanelDocument, place: Place, field: Field) -> None:
        super().__init__()
        self._document, self._place, self._field = document, place, field
        self._form: PartForm | None = None
        self._add = QToolButton()
        self._add.setText(f"+  {field.label}")
        self._add.setAccessibleName(self.tr("Add {0}").format(field.label.lower()))
        self._add.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
        self._add.setObjectName("adder")
        self._add.clicked.connect(self._put_in)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.addWidget(self._add)

    def refresh(self) -> None:
        """Show the document as it is now."""
        there = value_at(self._document.panel, self._place) is not None
        self._add.setVisible(not there)
        if there and self._form is None:
            self._form = PartForm(
                self._document, self._place, title=self._field.label, on_remove=self._take_out
            )
            self._form.entered.connect(self.entered)
            self._column.addWidget(self._form)
            put_in_order_soon(self)
        elif not there and self._form is not None:
            self._form.hide()
            self._form.deleteLater()
            self._form = None
        elif self._form is not None:
            self._form.refresh()

    def reveal(self, place: Place) -> QWidget | None:
        """Open down to a place."""
        return self._form.reveal(place) if self._form is not None else self._add

    def _put_in(self) -> None:
        owner = value_at(self._document.panel, self._place[:-1])
        self._document.edit(
            self._place, first_value(self._field, owner), self.tr("add {0}").format(self._field.label.lower())
        )
        if self._form is not None:
            self._form.set_open(True)

    def _take_out(self) -> None:
        self._document.edit(self._place, None, self.tr("remove {0}").format(self._field.label.lower()))


def complaint(error: NeedlewrightError) -> str:
    """Return what is wrong, without the path that the form shows anyway."""
    if isinstance(error, DocumentError):
        return "; ".join(fault.what for fault in error.faults) + "."
    return str(error)


def _part_or_none(document: PanelDocument, place: Place, field: Field) -> QWidget:
    if field.optional:
        return MaybePart(document, place, field)
    return PartForm(document, place, title=field.label)
