"""The movement stage: what turns the needle, the needle itself, and what becomes of the two."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QLabel, QSplitter, QTabWidget, QVBoxLayout, QWidget

from gaugecore.movement.propose import Proposal
from gaugecore.panel.document import Movement
from gaugecore.panel.edit import Place
from needlewright.ui.background import Background
from needlewright.ui.desk import Desk
from needlewright.ui.inspector import Part, Sections
from needlewright.ui.inspector_page import InspectorPage
from needlewright.ui.latest import Latest
from needlewright.ui.movement_choices import MovementChoices
from needlewright.ui.movement_words import movement_words
from needlewright.ui.response_box import ResponseBox
from needlewright.ui.train_choices import TrainChoices, question_of
from needlewright.ui.train_view import TrainView
from needlewright.ui.translation import translate


class MovementStage(QWidget):
    """Expectations, picture, choices and response above the form over movement, train and pointer.

    Signals
    -------
    said : str
        Something for the message strip.
    """

    said = Signal(str)

    def __init__(self, desk: Desk, background: Background) -> None:
        super().__init__()
        self._desk = desk
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setMinimumHeight(72)
        self.words.setAccessibleName(self.tr("What to expect of the needle"))
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.train = TrainView()
        self.choices = TrainChoices()
        self.movements = MovementChoices()
        self.response = ResponseBox()
        self.form = InspectorPage(desk, _sections)
        self.tabs = QTabWidget()
        self._train_page = QWidget()
        inner = QVBoxLayout(self._train_page)
        inner.setContentsMargins(10, 4, 10, 8)
        inner.addWidget(self.train, 1)
        inner.addWidget(self.words)
        for page, title in (
            (self._train_page, self.tr("Train")),
            (self.movements, self.tr("Movements")),
            (self.choices, self.tr("Trains that fit")),
            (self.response, self.tr("Response")),
        ):
            self.tabs.addTab(page, title)
        self._place()
        self._words_of = Latest(background, self._asking(_words_question), self.words.setText, self)
        self._trains_of = Latest(background, self._asking(question_of), self.choices.show_proposals, self)
        self._response_of = Latest(
            background, self._asking(self.response.question), self.response.show_response, self
        )
        self.choices.wanted.connect(self._take_over)
        self.movements.wanted.connect(self._take_movement)
        self.movements.refused.connect(lambda error: self.said.emit(str(error)))
        self.response.changed.connect(self._response_of.ask_now)
        self.tabs.currentChanged.connect(lambda _: self._ask_if_seen())
        desk.document.changed.connect(lambda _: self._ask_if_seen())
        desk.instrument_changed.connect(lambda _: self._ask_if_seen())
        desk.value_changed.connect(lambda _: self._turn())

    def open_recording(self, path: Path) -> None:
        """Show the response to a recording."""
        self.tabs.setCurrentWidget(self.response)
        self.response.open_recording(path)

    def showEvent(self, event: QShowEvent) -> None:
        """Work it out when somebody looks."""
        super().showEvent(event)
        self._ask_if_seen()

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

    def _asking(self, of: Any) -> Any:
        def question() -> Any:
            instrument = self._desk.instrument
            return of(instrument) if instrument is not None else None

        return question

    def _ask_if_seen(self) -> None:
        """Only what is seen is worked out: a response takes a second's work."""
        if not self.isVisible():
            return
        self._turn()
        page = self.tabs.currentWidget()
        if page is self.movements:
            self.movements.show_for(self._desk.instrument)
        for seen, latest in (
            (self._train_page, self._words_of),
            (self.choices, self._trains_of),
            (self.response, self._response_of),
        ):
            if page is seen:
                latest.ask()

    def _turn(self) -> None:
        if self.isVisible() and self.tabs.currentWidget() is self._train_page:
            self.train.show_train(self._desk.instrument, self._desk.value)

    def _take_over(self, proposal: Proposal) -> None:
        instrument = self._desk.instrument
        if instrument is None:
            return
        name = f"{instrument.id}: {proposal.words}"
        self._desk.document.edit(("instruments", instrument.id, "train"), proposal.train, name)
        self.said.emit(self.tr("Taken over: {0}.").format(proposal.words))

    def _take_movement(self, movement: Movement) -> None:
        instrument = self._desk.instrument
        if instrument is None:
            return
        name = f"{instrument.id}: {movement.name}"
        self._desk.document.edit(("instruments", instrument.id, "movement"), movement, name)
        self.said.emit(self.tr("Taken over: {0}.").format(movement.name))


def _words_question(instrument: Any) -> partial[str]:
    return partial(movement_words, instrument)


def _sections(instrument: Place) -> Sections:
    if not instrument:
        return ()
    return (
        Part(
            translate("stage_movement", "Drive and needle"),
            instrument,
            ("movement", "train", "pointer", "damping"),
            unfold=True,
        ),
    )
