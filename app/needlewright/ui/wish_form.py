"""A folded form over wishes: the rows of the panel's forms, with no panel and no undo list behind them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from pydantic import BaseModel, ValidationError
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from needlewright.ui.fields import fields_of
from needlewright.ui.form_row import FieldRow
from needlewright.ui.section import Section
from needlewright.ui.step_names import value_text


class WishForm(Section):
    """A section over one model of wishes.

    Parameters
    ----------
    title : str
    wishes : BaseModel
        What is wished to begin with, and what every wish is compared with in the summary.
    untouched : str
        The summary while nothing else is wished.
    first : mapping
        What an optional wish becomes when it is set, by name.

    Signals
    -------
    changed : BaseModel
        Something else is wished.
    """

    changed = Signal(object)

    def __init__(
        self,
        title: str,
        wishes: BaseModel,
        *,
        untouched: str,
        first: Mapping[str, Any] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(title, parent)
        self._usual = self._wishes = wishes
        self._untouched, self._first = untouched, dict(first or {})
        self.rows: dict[str, FieldRow] = {}
        for field in fields_of(type(wishes)):
            row = FieldRow(field)
            row.given.connect(partial(self.wish, field.name))
            row.set_wanted.connect(partial(self._set, field.name))
            self.rows[field.name] = row
            self.body.addWidget(row)
        self._show()

    @property
    def wishes(self) -> Any:
        """Return what is wished."""
        return self._wishes

    def wish(self, name: str, value: object) -> None:
        """Wish something, as if it had been typed."""
        try:
            self._wishes = self._wishes.model_validate({**dict(self._wishes), name: value})
        except ValidationError as error:
            self.rows[name].complain(error.errors()[0]["msg"] + ".")
            return
        self._show()
        self.changed.emit(self._wishes)

    def let_edit(self, wanted: bool) -> None:
        """Let the wishes be changed, or only be read."""
        for row in self.rows.values():
            row.setEnabled(wanted)

    def said(self) -> list[str]:
        """Return what is wished beyond the usual, a few words each."""
        return [
            f"{row.field.label.lower()} {value_text(row.field, getattr(self._wishes, name))}"
            for name, row in self.rows.items()
            if getattr(self._wishes, name) != getattr(self._usual, name)
        ]

    def sum_up(self) -> None:
        """Say in a few words what is folded away."""
        self.set_summary("" if self.is_open else ", ".join(self.said()) or self._untouched)

    def _set(self, name: str) -> None:
        self.wish(name, self._first[name])

    def _show(self) -> None:
        for name, row in self.rows.items():
            row.show_value(getattr(self._wishes, name))
        self.sum_up()

    def _fold(self, wanted: bool) -> None:
        super()._fold(wanted)
        self.sum_up()
