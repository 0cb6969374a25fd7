"""The real window in a process of its own, which tells a test where things are and what the panel says.

It only answers questions, a JSON object a line on standard input and output: what happens in the window
happens by the keys and the mouse of the screen it is on.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QPoint, QPointF, QRect, QSocketNotifier
from PySide6.QtWidgets import QAbstractButton, QApplication, QMenu, QWidget

from gaugecore.panel.store import panel_text
from needlewright.ui.canvas import DialCanvas
from needlewright.ui.main_window import MainWindow
from needlewright.ui.opening import application, open_window


class _Watcher(QObject):
    def __init__(self, app: QApplication) -> None:
        super().__init__(app)
        self._app = app
        self._notifier = QSocketNotifier(sys.stdin.fileno(), QSocketNotifier.Type.Read, self)
        self._notifier.activated.connect(lambda *_: self._answer())

    def _answer(self) -> None:
        line = sys.stdin.readline()
        if not line:
            self._notifier.setEnabled(False)
            return
        (verb, argument), *_ = json.loads(line).items()
        print(json.dumps(getattr(self, f"_{verb}")(argument)), flush=True)  # noqa: T201

    @property
    def _window(self) -> MainWindow | None:
        found = [one for one in self._app.topLevelWidgets() if isinstance(one, MainWindow)]
        return found[0] if found and found[0].isVisible() else None

    def _front(self, _: object = None) -> int | None:
        """Return the X window that has to have the keys."""
        front = self._app.activePopupWidget() or self._app.activeModalWidget() or self._window
        return int(front.winId()) if front is not None else None

    def _panel(self, _: object) -> str | None:
        window = self._window
        return panel_text(window.document.panel) if window is not None else None

    def _unsaved(self, _: object) -> bool | None:
        window = self._window
        return window.document.unsaved if window is not None else None

    def _picture(self, path: str) -> bool:
        """Put a picture of the screen into a file, for whoever wants to know why a test failed."""
        return bool(self._app.primaryScreen().grabWindow(0).save(path))

    def _where(self, name: str) -> list[int] | None:
        """Return left, top, width and height on the screen of what a user would call so."""
        front = self._app.activePopupWidget() or self._app.activeModalWidget() or self._window
        if front is None:
            return None
        if isinstance(front, QMenu):
            for action in front.actions():
                if action.text().replace("&", "") == name:
                    return _on_screen(front, front.actionGeometry(action))
            return None
        parts = [part for part in front.findChildren(QWidget) if part.isVisible()]
        for part in parts:
            if part.accessibleName() == name:
                return _on_screen(part, part.rect())
        for part in parts:
            if isinstance(part, QAbstractButton) and part.text().replace("&", "") == name:
                return _on_screen(part, part.rect())
        return None

    def _spot(self, place_mm: list[float]) -> list[int] | None:
        """Return where a place on the sheet is on the screen."""
        canvas = self._window.findChild(DialCanvas) if self._window is not None else None
        if canvas is None:
            return None
        at = canvas._view.transform(canvas._size()).map(QPointF(*place_mm)).toPoint()
        return _on_screen(canvas, QRect(at, at))


def _on_screen(part: QWidget, rect: QRect) -> list[int]:
    corner: QPoint = part.mapToGlobal(rect.topLeft())
    return [corner.x(), corner.y(), rect.width(), rect.height()]


def main(words: list[str]) -> Any:
    """Open the window on a panel file."""
    watcher = _Watcher(application())
    code = open_window(Path(words[0]))
    del watcher
    return code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
