"""Which panel files are open in a window of this user, so that a second window on one can be warned.

The mark is a lock in the program's own folder, which the system lets go of when its process dies. It warns
and forbids nothing: what another program saved meanwhile is never written over unseen, whoever saved it.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from PySide6.QtCore import QLockFile, QObject

from needlewright.ui.data_folder import data_folder
from needlewright.ui.document import PanelDocument
from needlewright.ui.translation import translate


class OpenFile(QObject):
    """The mark on the file of one window."""

    def __init__(self, document: PanelDocument, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._path: Path | None = None
        self._lock: QLockFile | None = None
        self._is_elsewhere = False
        document.place_changed.connect(self._follow)

    @property
    def warning(self) -> str:
        """Return what to say when another window has the file open too; empty when none has."""
        if not self._is_elsewhere or self._path is None:
            return ""
        return translate(
            "open_files",
            "Another window has {0} open too. When both save it, the second is asked first.",
        ).format(self._path)

    def let_go(self) -> None:
        """Take the mark away."""
        if self._lock is not None:
            self._lock.unlock()
        self._lock, self._path, self._is_elsewhere = None, None, False

    def _follow(self) -> None:
        path = self._document.path
        path = path.resolve() if path is not None else None
        if path == self._path:
            return
        self.let_go()
        folder = data_folder("open")
        self._path = path
        if path is None or folder is None:
            return
        name = hashlib.sha256(str(path).encode("utf-8", "surrogateescape")).hexdigest()[:32]
        lock = QLockFile(str(folder / f"{name}.lock"))
        lock.setStaleLockTime(0)  # only the owner's death makes it stale, not its age
        self._is_elsewhere = not lock.tryLock(0) and lock.error() == QLockFile.LockError.LockFailedError
        self._lock = None if self._is_elsewhere else lock
