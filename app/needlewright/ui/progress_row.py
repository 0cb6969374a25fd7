"""A bar that says how far some work is, with a button to call it off; not there while nothing runs."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QWidget

from gaugecore.errors import NeedlewrightError
from needlewright.ui.background import Background


class ProgressRow(QWidget):
    """Runs one errand at a time, and shows how far it is.

    Signals
    -------
    busy_changed : bool
        Whether something runs.
    progressed : int, int, str
        Steps done, of how many, and what comes next; sent from the thread that works.
    """

    busy_changed = Signal(bool)
    progressed = Signal(int, int, str)

    def __init__(self, background: Background, spoken: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._background = background
        self._called_off = threading.Event()
        self.bar = QProgressBar()
        self.bar.setAccessibleName(spoken)
        self.cancel = QPushButton(self.tr("Call it off"))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.bar, 1)
        row.addWidget(self.cancel)
        self.cancel.clicked.connect(lambda: self.call_off())
        self.progressed.connect(self._show)
        self.hide()

    def run(self, do: Callable[..., Any], then: Callable[[Any], None], what: str) -> None:
        """Start work in the background.

        Parameters
        ----------
        do : callable
            Called with ``progress`` and ``called_off``.
        then : callable
            Given its result, on the window's thread.
        what : str
            Shown until the first step is told.
        """
        called_off = self._called_off = threading.Event()

        def errand() -> tuple[Any, Exception | None]:
            try:
                return do(progress=self.progressed.emit, called_off=called_off.is_set), None
            except Exception as error:  # whatever it is, the row has to be put away
                return None, error

        def home(answer: tuple[Any, Exception | None]) -> None:
            result, error = answer
            self.hide()
            self.busy_changed.emit(False)
            if isinstance(error, NeedlewrightError):
                self._background.refused.emit(error)
            elif error is not None:
                self._background.broke.emit(error)
            else:
                then(result)

        self.bar.setRange(0, 0)
        self.bar.setFormat(what)
        self.cancel.setEnabled(True)
        self.show()
        self.busy_changed.emit(True)
        self._background.run(errand, home)

    def call_off(self) -> None:
        """Let the work end before its next step."""
        self._called_off.set()
        self.cancel.setEnabled(False)

    def _show(self, done: int, of: int, what: str) -> None:
        self.bar.setRange(0, of)
        self.bar.setValue(done)
        self.bar.setFormat(self.tr("{0}, %v of %m").format(what))
