"""Work off the window's own thread, with one way to stop all of it.

An errand is a function of plain values. Its result comes back as a signal, so it is delivered on the
window's thread; an errand never touches a widget.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal, Slot

from gaugecore.errors import NeedlewrightError


class _Errand(QRunnable):
    def __init__(self, background: Background, do: Callable[[], Any], then: Callable[[Any], None]) -> None:
        super().__init__()
        self._background, self._do, self._then = background, do, then

    def run(self) -> None:
        home: tuple[Callable[[Any], None] | None, Any, Exception | None]
        try:
            home = (self._then, self._do(), None)
        except Exception as error:  # whatever it is, the window has to hear of it
            home = (None, None, error)
        with contextlib.suppress(RuntimeError):  # nobody is left to hear: the window was torn down unasked
            self._background._came_back.emit(*home)


class Background(QObject):
    """Runs errands, and brings their results home.

    Signals
    -------
    refused : NeedlewrightError
        An errand was refused by the engine.
    broke : Exception
        An errand failed in a way nobody meant.
    """

    refused = Signal(object)
    broke = Signal(object)
    _came_back = Signal(object, object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(2)
        self._stopped = False
        self._came_back.connect(self._deliver)

    def run(self, do: Callable[[], Any], then: Callable[[Any], None]) -> None:
        """Start an errand; ``then`` gets its result on the window's thread."""
        if not self._stopped:
            self._pool.start(_Errand(self, do, then))

    def stop(self) -> None:
        """Take no more errands, drop what waits, and wait for what runs."""
        self._stopped = True
        self._pool.clear()
        self._pool.waitForDone()

    @Slot(object, object, object)
    def _deliver(self, then: Callable[[Any], None] | None, result: Any, error: Exception | None) -> None:
        if self._stopped:
            return
        if isinstance(error, NeedlewrightError):
            self.refused.emit(error)
        elif error is not None:
            self.broke.emit(error)
        elif then is not None:
            then(result)
