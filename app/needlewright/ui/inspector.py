"""The inspector: a form over a part of the panel, made from the part's own model.

Sections fold. A section's fields are made when it is first opened, so a large panel costs no more than
what is looked at. Values flow one way: the document changes, the form shows it; the user gives a value,
the document is asked.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QLabel, QScrollArea, QVBoxLayout, QWidget

from gaugecore.panel.edit import Place
from needlewright.ui.document import PanelDocument
from needlewright.ui.form import PartForm
from needlewright.ui.form_row import FieldRow
from needlewright.ui.tab_order import put_in_order_soon


class Part(NamedTuple):
    """A section to show: title, place, which fields (none named: all), whether what is below is unfolded."""

    title: str
    place: Place
    only: tuple[str, ...] = ()
    unfold: bool = False


Sections = tuple[Part, ...]


class Inspector(QScrollArea):
    """Sections over places of the document.

    Signals
    -------
    entered : Place
        The user is at work on a field there.
    """

    entered = Signal(object)

    def __init__(
        self, document: PanelDocument, sections: Callable[[], Sections], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._sections_of = sections
        self._shown: Sections = ()
        self._forms: list[PartForm] = []
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # Tab goes through its fields
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._sheet = QWidget()
        self._column = QVBoxLayout(self._sheet)
        self._column.setContentsMargins(12, 8, 12, 12)
        self._column.setSpacing(4)
        self._nothing = QLabel(
            self.tr("There is no instrument yet. Add one with New, on the left; its fields then stand here.")
        )
        self._nothing.setObjectName("quiet")
        self._nothing.setWordWrap(True)
        self._column.addWidget(self._nothing)
        self._column.addStretch()
        self.setWidget(self._sheet)
        document.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the document as it is now."""
        sections = self._sections_of()
        if sections != self._shown:
            self._rebuild(sections)
        self._nothing.setVisible(not sections)
        for form in self._forms:
            form.refresh()

    def reveal(self, place: Place) -> None:
        """Open the sections down to a place and bring it into view."""
        for form in self._forms:
            found = form.reveal(place)
            if found is not None:
                self._mark(found)
                self._column.activate()
                self.ensureWidgetVisible(found, 0, 60)
                return

    def _mark(self, found: QWidget) -> None:
        """Mark the one field that was looked for."""
        for row in self.findChildren(FieldRow):
            row.mark(row is found)

    def _rebuild(self, sections: Sections) -> None:
        for form in self._forms:
            self._column.removeWidget(form)
            form.hide()
            form.deleteLater()
        self._forms = []
        self._shown = sections
        for at, part in enumerate(sections):
            form = PartForm(
                self._document, part.place, title=part.title, opened=True, only=part.only, unfold=part.unfold
            )
            form.entered.connect(self.entered)
            self._column.insertWidget(at, form)
            self._forms.append(form)
        put_in_order_soon(self._sheet)
