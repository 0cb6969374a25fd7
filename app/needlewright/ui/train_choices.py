"""The trains that would carry the needle over its arc, each to be taken over as one step."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gaugecore.face.scale import angle_range_deg
from gaugecore.movement.outlook import outlook
from gaugecore.movement.propose import Proposal
from gaugecore.panel.document import Instrument

Question = partial[tuple[Proposal, ...]]


def question_of(instrument: Instrument) -> Question:
    """Return the errand that works out the trains for an instrument."""
    return partial(_proposals, instrument)


def _proposals(instrument: Instrument) -> tuple[Proposal, ...]:
    low_deg, high_deg = angle_range_deg(instrument.face.scale)
    look = outlook(instrument.movement, instrument.train, instrument.pointer, arc_deg=high_deg - low_deg)
    return look.proposals


class TrainChoices(QWidget):
    """A list of trains with the price of each.

    Signals
    -------
    wanted : Proposal
        This one is to be taken over.
    """

    wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._proposals: tuple[Proposal, ...] = ()
        self._said = QLabel(self.tr("The finest pointing first."))
        self._said.setObjectName("quiet")
        self._said.setWordWrap(True)
        self._list = QListWidget()
        self._list.setWordWrap(True)
        self._list.setSpacing(3)
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setAccessibleName(self.tr("Trains that fit"))
        self._take = QPushButton(self.tr("Take this train over"))
        row = QHBoxLayout()
        row.addWidget(self._take)
        row.addStretch()
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 8)
        column.addWidget(self._said)
        column.addWidget(self._list, 1)
        column.addLayout(row)
        self._take.clicked.connect(lambda: self._ask())
        self._list.itemActivated.connect(lambda _: self._ask())
        self._list.currentRowChanged.connect(lambda row: self._take.setEnabled(row >= 0))
        self.show_proposals(())

    def show_proposals(self, proposals: Sequence[Proposal]) -> None:
        """Show trains."""
        self._proposals = tuple(proposals)
        self._list.clear()
        for proposal in self._proposals:
            words = self.tr("{0}; pointing about {1:.2g}°").format(proposal.sentence(), proposal.expected_deg)
            if proposal.turns_round:
                words += self.tr("; the needle turns against the movement")
            self._list.addItem(QListWidgetItem(words[0].upper() + words[1:] + "."))
        none = self.tr("No train carries this movement over the arc of the scale and turns the needle.")
        self._said.setText(self.tr("The finest pointing first.") if self._proposals else none)
        self._list.setCurrentRow(0 if self._proposals else -1)
        self._take.setEnabled(bool(self._proposals))

    def _ask(self) -> None:
        row = self._list.currentRow()
        if 0 <= row < len(self._proposals):
            self.wanted.emit(self._proposals[row])
