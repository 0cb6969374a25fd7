"""A stage that is mostly a form: the inspector, and below it a word about the field the user is in."""

from __future__ import annotations

from collections.abc import Callable

from pydantic import BaseModel
from PySide6.QtWidgets import QApplication, QLabel, QVBoxLayout, QWidget

from gaugecore.errors import DocumentError
from gaugecore.panel.edit import Place, parse_place, place_text, value_at
from needlewright.ui.desk import Desk
from needlewright.ui.fields import fields_of
from needlewright.ui.inspector import Inspector, Sections


class InspectorPage(QWidget):
    """Form over the instrument on the canvas, or over the panel.

    Parameters
    ----------
    desk : Desk
        What is being looked at.
    sections : callable
        Given the place of the instrument, returns what to show.
    """

    def __init__(
        self, desk: Desk, sections: Callable[[Place], Sections], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._desk = desk
        self._sections_of = sections
        self.inspector = Inspector(desk.document, self._sections)
        self._about = QLabel()
        self._about.setObjectName("about")
        self._about.setWordWrap(True)
        self._about.setContentsMargins(12, 4, 12, 6)
        self._about.setAccessibleName(self.tr("About this field"))
        self._about.hide()
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(0)
        self.column.addWidget(self.inspector, 1)
        self.column.addWidget(self._about)
        self.inspector.entered.connect(self._enter)
        desk.instrument_changed.connect(lambda _: self.inspector.refresh())
        desk.part_changed.connect(self.reveal)
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._leave)

    def reveal(self, part: str) -> None:
        """Open the form at a part of the instrument."""
        if part and self.isVisible():
            self.inspector.reveal((*self._instrument_place(), *parse_place(part)))

    def reveal_place(self, place: Place) -> None:
        """Open the form at a place of the panel, as far as this page has it."""
        if self.isVisible():
            self.inspector.reveal(place)

    def _sections(self) -> Sections:
        return self._sections_of(self._instrument_place())

    def _instrument_place(self) -> Place:
        instrument = self._desk.instrument
        return ("instruments", instrument.id) if instrument is not None else ()

    def _leave(self, _before: QWidget | None, now: QWidget | None) -> None:
        """Take the word about a field away when the focus is on something of this page that is none."""
        if now is not None and self.inspector.isAncestorOf(now) and now.property("field") is None:
            self._about.hide()

    def _enter(self, place: Place) -> None:
        try:
            owner: BaseModel = value_at(self._desk.document.panel, place[:-1])
        except DocumentError:
            return
        field = next((field for field in fields_of(type(owner)) if field.name == place[-1]), None)
        said = [] if field is None else [field.explanation.rstrip("."), field.range_text]
        self._about.setVisible(any(said))
        self._about.setText(". ".join(text for text in said if text))
        here = self._instrument_place()
        if here and place[:2] == here:
            self._desk.select_part(place_text(place[2:]))
