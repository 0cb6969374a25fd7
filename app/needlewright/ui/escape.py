"""Escape stops the needles whatever has the keys: an open list, a menu, a dialog."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication


class EscapeWatch(QObject):
    """Looks at the keys of the whole application while a needle may move, and takes none away.

    A shortcut of the window is not enough: what pops up has the keys to itself, and only closes.

    Parameters
    ----------
    stop : callable
        Stops the needles; may be called more than once for one key.
    """

    def __init__(self, stop: Callable[[], None], parent: QObject) -> None:
        super().__init__(parent)
        self._stop = stop
        self._watching = False

    def watch(self, on: bool) -> None:
        """Begin to look, or end; every event of the application passes by only meanwhile."""
        application = QApplication.instance()
        if on == self._watching or application is None:
            return
        self._watching = on
        if on:
            application.installEventFilter(self)
        else:
            application.removeEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Stop at Escape; the key then does what it is for as well."""
        if (
            event.type() in (QEvent.Type.KeyPress, QEvent.Type.ShortcutOverride)
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Escape
            and not event.isAutoRepeat()
        ):
            self._stop()
        return False
