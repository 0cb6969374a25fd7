"""The message strip: one calm sentence at the foot of the window, and a reminder that a needle may move."""

from __future__ import annotations

from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QSizePolicy, QToolButton, QWidget

from gaugecore.errors import NeedlewrightError
from needlewright.ui.window_words import window_words


class MessageStrip(QFrame):
    """Shows the last thing there was to say, until the next or until it is put away."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("strip")
        self._text = QLabel()
        self._text.setWordWrap(True)
        self._text.setAccessibleName(self.tr("Message"))
        self._text.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._of: object | None = None
        self._reminder = QLabel()
        self._reminder.setObjectName("reminder")
        self._reminder.setAccessibleName(self.tr("Who has the needles"))
        self._away = QToolButton()
        self._away.setObjectName("lineAction")
        self._away.setText(self.tr("Put away"))
        self._away.clicked.connect(self.clear)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 4, 8, 4)
        row.addWidget(self._text, 1)
        row.addWidget(self._away)
        row.addWidget(self._reminder)
        self.clear()
        self.remind("")

    @property
    def text(self) -> str:
        """Return what is shown."""
        return self._text.text()

    def say(self, sentence: str, *, of: object | None = None) -> None:
        """Show a sentence, and remember who said it."""
        self._of = of
        self._text.setText(window_words(sentence))
        self._away.show()

    def refuse(self, error: NeedlewrightError) -> None:
        """Show what the engine said when it refused something."""
        self.say(str(error))

    def clear_of(self, speaker: object) -> None:
        """Put away what somebody said: it holds no longer. What others said stays."""
        if self._of is speaker:
            self.clear()

    def remind(self, sentence: str) -> None:
        """Show for as long as it holds that a needle may move; empty: none may."""
        self._reminder.setText(sentence)
        self._reminder.setVisible(bool(sentence))

    def clear(self) -> None:
        """Say nothing."""
        self._of = None
        self._text.setText("")
        self._away.hide()
