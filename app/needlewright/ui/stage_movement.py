"""The movement stage: what turns the needle, the needle itself, and what becomes of the two."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QLabel

from gaugecore.panel.edit import Place
from needlewright.ui.background import Background
from needlewright.ui.desk import Desk
from needlewright.ui.inspector import Part, Sections
from needlewright.ui.inspector_page import InspectorPage
from needlewright.ui.latest import Latest
from needlewright.ui.movement_words import movement_words


class MovementStage(InspectorPage):
    """What to expect of the needle, above the form over movement, train and pointer."""

    def __init__(self, desk: Desk, background: Background) -> None:
        super().__init__(desk, _sections)
        self._words = QLabel()
        self._words.setWordWrap(True)
        self._words.setContentsMargins(14, 10, 12, 6)
        self._words.setAccessibleName("What to expect of the needle")
        self._words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.column.insertWidget(0, self._words)
        self._latest = Latest(background, self._question, self._words.setText, self)
        desk.document.changed.connect(lambda _: self._ask_if_seen())
        desk.instrument_changed.connect(lambda _: self._ask_if_seen())

    def showEvent(self, event: QShowEvent) -> None:
        """Work it out when somebody looks."""
        super().showEvent(event)
        self._latest.ask_now()

    def _question(self) -> partial[str] | None:
        instrument = self._desk.instrument
        return partial(movement_words, instrument) if instrument is not None else None

    def _ask_if_seen(self) -> None:
        if self.isVisible():
            self._latest.ask()


def _sections(instrument: Place) -> Sections:
    if not instrument:
        return ()
    return (Part("Drive and needle", instrument, ("movement", "train", "pointer", "damping"), unfold=True),)
