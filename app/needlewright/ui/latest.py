"""Work that follows the document, off the window's thread, always for the newest panel."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, QTimer

from needlewright.ui.background import Background

_PAUSE_MS = 200


class Latest(QObject):
    """Asks a question again whenever what it depends on changes; answers to old questions are dropped.

    Parameters
    ----------
    background : Background
        Where it runs.
    question : callable
        Returns the errand for how things are now, a function of plain values; None: nothing to ask.
    answer : callable
        Given the errand's result, on the window's thread.
    """

    def __init__(
        self,
        background: Background,
        question: Callable[[], Callable[[], Any] | None],
        answer: Callable[[Any], None],
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._background, self._question, self._answer = background, question, answer
        self._asked = 0
        self._running = False
        self._again = False
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self.ask_now)

    def ask(self) -> None:
        """Ask soon; a burst of changes is one question."""
        self._pause.start()

    def ask_now(self) -> None:
        """Ask at once, or as soon as the question under way is answered."""
        if self._running:
            self._again = True
            return
        errand = self._question()
        if errand is None:
            return
        self._running, self._again = True, False
        self._background.run(errand, self._take)

    def _take(self, result: Any) -> None:
        self._running = False
        if self._again:
            self.ask_now()
        else:
            self._answer(result)
