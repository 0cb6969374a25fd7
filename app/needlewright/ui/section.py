"""A section of a form that folds: a head with a title, a body below it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from needlewright.ui.translation import with_minus


class Section(QWidget):
    """A title that folds and unfolds what is below it.

    Signals
    -------
    opened
        It was unfolded.
    """

    opened = Signal()

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title = QToolButton()
        self._title.setObjectName("sectionTitle")
        self._title.setText(title)
        self._title.setCheckable(True)
        self._title.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self._title.setArrowType(Qt.ArrowType.RightArrow)
        self._title.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._title.toggled.connect(self._fold)
        self._summary = QLabel()
        self._summary.setObjectName("summary")
        self._summary.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._line = QHBoxLayout()
        self._line.setSpacing(6)
        self._line.addWidget(self._title)
        self._line.addWidget(self._summary, 1)
        self._inside = QWidget()
        self._inside.hide()
        inner = QVBoxLayout(self._inside)
        inner.setContentsMargins(12, 0, 0, 6)
        inner.setSpacing(0)
        self.head = QVBoxLayout()
        self.body = QVBoxLayout()
        self.body.setSpacing(0)
        inner.addLayout(self.head)
        inner.addLayout(self.body)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(self._line)
        column.addWidget(self._inside)

    @property
    def is_open(self) -> bool:
        """Return whether it is unfolded."""
        return self._title.isChecked()

    def set_open(self, wanted: bool) -> None:
        """Fold or unfold."""
        self._title.setChecked(wanted)

    def set_title(self, title: str) -> None:
        """Give it another title."""
        self._title.setText(title)

    def set_summary(self, text: str) -> None:
        """Say in a few words what is folded away."""
        self._summary.setText(with_minus(text))

    def add_action(self, text: str, do: Callable[[], None]) -> QToolButton:
        """Put a small button at the end of the title's line."""
        button = QToolButton()
        button.setObjectName("lineAction")
        button.setText(text)
        button.setAccessibleName(f"{text}: {self._title.text()}")
        button.clicked.connect(lambda: do())
        self._line.addWidget(button)
        return button

    def clear_body(self) -> None:
        """Take everything out of the body."""
        while (item := self.body.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()

    def _fold(self, wanted: bool) -> None:
        self._title.setArrowType(Qt.ArrowType.DownArrow if wanted else Qt.ArrowType.RightArrow)
        self._inside.setVisible(wanted)
        if wanted:
            self.opened.emit()
