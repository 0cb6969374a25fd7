"""Changes that are not saved survive a crash: they are copied aside while they are made.

Each window has a file of its own, and a lock beside it that the system lets go of when the process dies.
What lies there without a live lock belongs to nobody any more and is offered when a window opens.
"""

from __future__ import annotations

import contextlib
import os
import uuid
from pathlib import Path

from PySide6.QtCore import QLockFile, QObject, QStandardPaths, QTimer

from gaugecore.errors import NeedlewrightError
from gaugecore.files import write_whole
from gaugecore.panel.document import Panel
from gaugecore.panel.store import SUFFIX, load_panel, panel_text
from needlewright.ui.background import Background
from needlewright.ui.document import PanelDocument

#: At most this much work is lost.
_PAUSE_MS = 2000


def recovery_folder() -> Path:
    """Return where changes are kept aside, made if need be."""
    base = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation)
    folder = Path(base) / "recovery"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


class Recovery(QObject):
    """Keeps the unsaved panel aside, and takes it away again when it is saved or let go."""

    def __init__(
        self, document: PanelDocument, background: Background, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._background = document, background
        self._path = recovery_folder() / f"{os.getpid()}-{uuid.uuid4().hex[:8]}{SUFFIX}"
        self._lock = QLockFile(f"{self._path}.lock")
        self._lock.setStaleLockTime(0)  # only the owner's death makes it stale, not its age
        self._lock.tryLock(0)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self._keep_soon)
        document.changed.connect(self._keep_later)
        document.place_changed.connect(self._drop_if_saved)

    def keep_now(self) -> Path | None:
        """Put the panel aside at once; return where, None when there is nothing to lose, or no room."""
        if not self._document.unsaved:
            return None
        return self._path if _keep(self._document.panel, self._path) else None

    def let_go(self) -> None:
        """Forget what was put aside: the window closes in good order."""
        self._pause.stop()
        self._path.unlink(missing_ok=True)
        self._lock.unlock()

    def _keep_later(self, _panel: Panel) -> None:
        if not self._pause.isActive():
            self._pause.start()

    def _keep_soon(self) -> None:
        if self._document.unsaved:
            panel, path = self._document.panel, self._path
            self._background.run(lambda: _keep(panel, path), self._drop_if_saved)

    def _drop_if_saved(self, _done: object = None) -> None:
        if not self._document.unsaved:
            self._path.unlink(missing_ok=True)


def left_behind() -> list[tuple[Path, Panel]]:
    """Return panels of windows that died, newest first; what cannot be read is left where it is."""
    found = []
    for path in sorted(recovery_folder().glob(f"*{SUFFIX}"), key=_age, reverse=True):
        lock = QLockFile(f"{path}.lock")
        lock.setStaleLockTime(0)
        if not lock.tryLock(0):
            continue  # its window lives
        lock.unlock()
        with contextlib.suppress(NeedlewrightError):
            found.append((path, load_panel(path)))
    return found


def _keep(panel: Panel, path: Path) -> bool:
    try:
        write_whole(path, panel_text(panel).encode("utf-8"))
    except NeedlewrightError:
        return False  # no room aside is no reason to disturb the work itself
    return True


def _age(path: Path) -> float:
    return path.stat().st_mtime
