"""The findings: a list to walk through, and below it the figures, the source and the remedy of one."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtWidgets import (
    QLabel,
    QListView,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from gaugecore.findings import Finding
from needlewright.ui.translation import capital, in_words, translate
from needlewright.ui.window_words import place_words, window_words

_FINDING = Qt.ItemDataRole.UserRole
#: Room round the words of a row: the padding of the style sheet, and what the style leaves beside it.
_BESIDE_PX, _ABOVE_PX = 14, 6


class _Whole(QStyledItemDelegate):
    """Makes each row as high as all its words need at the width there is."""

    def __init__(self, rows: QListWidget) -> None:
        super().__init__(rows)
        self._rows = rows

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        width = self._rows.viewport().width()
        room = QRect(0, 0, max(width - 2 * _BESIDE_PX, 40), 10_000)
        words = self._rows.fontMetrics().boundingRect(
            room, Qt.TextFlag.TextWordWrap, index.data(Qt.ItemDataRole.DisplayRole)
        )
        return QSize(width, words.height() + 2 * _ABOVE_PX)


class FindingsList(QWidget):
    """Findings of the instrument on the canvas and of the panel.

    Signals
    -------
    chosen : Finding or None
        The user walked to one.
    remedy_wanted : Finding
        The user wants its remedy done.
    """

    chosen = Signal(object)
    remedy_wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: tuple[Finding, ...] | None = None
        self._title = QLabel(self.tr("Findings"))
        self._title.setObjectName("columnTitle")
        self._list = QListWidget()
        self._list.setWordWrap(True)
        self._list.setAccessibleName(self.tr("Findings"))
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setTextElideMode(Qt.TextElideMode.ElideNone)
        self._list.setResizeMode(QListView.ResizeMode.Adjust)
        self._list.setItemDelegate(_Whole(self._list))
        self._title.setBuddy(self._list)
        self._more = QLabel()
        self._more.setWordWrap(True)
        self._more.setTextFormat(Qt.TextFormat.PlainText)
        self._more.setContentsMargins(12, 6, 12, 6)
        self._more.setAccessibleName(self.tr("About this finding"))
        self._more.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._remedy = QPushButton(self.tr("Try the remedy"))
        self._remedy.setToolTip(
            self.tr("Changes the field until the finding is gone; one step that can be undone")
        )
        self._remedy.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._title)
        column.addWidget(self._list, 1)
        column.addWidget(self._more)
        foot = QVBoxLayout()
        foot.setContentsMargins(12, 0, 12, 8)
        foot.addWidget(self._remedy)
        column.addLayout(foot)
        self._list.currentItemChanged.connect(self._choose)
        self._list.itemClicked.connect(lambda item: self._choose(item))
        self._remedy.clicked.connect(lambda: self.remedy_wanted.emit(self.current))

    @property
    def current(self) -> Finding | None:
        """Return the finding that is chosen."""
        item = self._list.currentItem()
        found: Finding | None = item.data(_FINDING) if item is not None else None
        return found

    def show_findings(self, findings: Sequence[Finding]) -> None:
        """Show findings; the one that was chosen stays chosen if it is still there."""
        if self._shown == (shown := tuple(findings)):
            return  # at most edits nothing is new, and the rows are dear to lay out
        self._shown = shown
        before = self.current
        with QSignalBlocker(self._list):
            self._list.clear()
            for finding in findings:
                item = QListWidgetItem(f"{capital(in_words(finding.severity))}. {sentence(finding.message)}")
                item.setData(_FINDING, finding)
                self._list.addItem(item)
                if before is not None and (finding.rule, finding.place) == (before.rule, before.place):
                    self._list.setCurrentItem(item)
        count = len(findings)
        self._title.setText(self.tr("No findings") if not count else self.tr("Findings ({0})").format(count))
        self._show_more()

    def _choose(self, item: QListWidgetItem | None, _before: object = None) -> None:
        self._show_more()
        walking = self._list.hasFocus()
        self.chosen.emit(item.data(_FINDING) if item is not None else None)
        if walking:  # the next arrow key is for the list, not for the field that was opened
            self._list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_more(self) -> None:
        finding = self.current
        self._more.setVisible(finding is not None)
        self._remedy.setVisible(finding is not None and _can_be_remedied(finding))
        if finding is not None:
            self._more.setText(details(finding))
            self._list.scrollToItem(self._list.currentItem())


def _can_be_remedied(finding: Finding) -> bool:
    from gaugecore.panel.remedies import can_be_remedied  # with the checks, once there are findings

    return can_be_remedied(finding)


def sentence(text: str) -> str:
    """Return a message as a sentence of its own."""
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")


def details(finding: Finding) -> str:
    """Return all a finding has to say below its message, a line each."""
    lines = (
        (translate("findings_list", "Measured"), finding.measured),
        (translate("findings_list", "Wanted"), finding.wanted),
        (translate("findings_list", "Source"), finding.source),
        (translate("findings_list", "Remedy"), window_words(finding.remedy)),
        (translate("findings_list", "Place"), place_words(finding.place)),
    )
    return "\n".join(f"{word}: {text}" for word, text in lines if text)
