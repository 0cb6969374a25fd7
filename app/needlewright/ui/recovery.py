"""Changes that are not saved survive a crash: they are copied aside while they are made.

Each window has a file of its own, and a lock beside it that the system lets go of when the process dies.
What lies there without a live lock belongs to nobody any more and is offered when a window opens.
"""

from __future__ import annotations

import contextlib
import json
import os
import uuid
from pathlib import Path

from PySide6.QtCore import QLockFile, QObject, QTimer

from gaugecore.errors import NeedlewrightError
from gaugecore.files import write_whole
from gaugecore.panel.document import Panel
from gaugecore.panel.panel_file import PanelFile
from gaugecore.panel.store import SUFFIX, load_panel, panel_text
from needlewright.ui.background import Background
from needlewright.ui.data_folder import data_folder
from needlewright.ui.document import PanelDocument

#: At most this much work is lost, and the drag that is under way.
_PAUSE_MS = 2000
#: While something is dragged it is tried again so much later, and so often at most.
_AGAIN_MS, _MOST_PUT_OFF = 250, 40
#: Beside what is put aside: which file it belongs to, and what that held.
_ORIGIN = ".origin"


def recovery_folder() -> Path | None:
    """Return where changes are kept aside, made if need be; None when there is no place to write to."""
    return data_folder("recovery")


class Recovery(QObject):
    """Keeps the unsaved panel aside, and takes it away again when it is saved or let go."""

    def __init__(
        self, document: PanelDocument, background: Background, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._background = document, background
        folder = recovery_folder()
        name = f"{os.getpid()}-{uuid.uuid4().hex[:8]}{SUFFIX}"
        self._path = folder / name if folder is not None else None
        self._lock = QLockFile(f"{self._path}.lock")
        self._lock.setStaleLockTime(0)  # only the owner's death makes it stale, not its age
        # a folder that is there and takes no file is no use either
        if self._path is not None and not self._lock.tryLock(0):
            self._path = None
        self._put_off = 0
        self._again = QTimer(self)
        self._again.setSingleShot(True)
        self._again.setInterval(_AGAIN_MS)
        self._again.timeout.connect(self._keep_soon)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self._keep_soon)
        document.changed.connect(self._keep_later)
        document.place_changed.connect(self._drop_if_saved)

    @property
    def is_off(self) -> bool:
        """Return whether there is no place to put changes aside."""
        return self._path is None

    def keep_now(self) -> Path | None:
        """Put the panel aside at once; return where, None when there is nothing to lose, or no room."""
        if not self._document.unsaved or self._path is None:
            return None
        kept = _keep(self._document.panel, self._path, self._document.origin)
        return self._path if kept else None

    def let_go(self) -> None:
        """Forget what was put aside: the window closes in good order."""
        self._pause.stop()
        self._again.stop()
        if self._path is not None:
            forget(self._path)
            self._lock.unlock()

    def _keep_later(self, _panel: Panel) -> None:
        if not self._pause.isActive():
            self._pause.start()

    def _keep_soon(self) -> None:
        if self._document.in_hand and self._put_off < _MOST_PUT_OFF:
            self._put_off += 1
            self._again.start()  # a whole panel written down meanwhile would hold up the hand
            return
        self._put_off = 0
        if self._document.unsaved and self._path is not None:
            panel, path, origin = self._document.panel, self._path, self._document.origin
            self._background.run(lambda: _keep(panel, path, origin), self._drop_if_saved)

    def _drop_if_saved(self, _done: object = None) -> None:
        if not self._document.unsaved and self._path is not None:
            forget(self._path)


def left_behind() -> list[tuple[Path, Panel]]:
    """Return panels of windows that died, newest first; what cannot be read is left where it is."""
    found: list[tuple[Path, Panel]] = []
    folder = recovery_folder()
    if folder is None:
        return found
    for path in sorted(folder.glob(f"*{SUFFIX}"), key=_age, reverse=True):
        lock = QLockFile(f"{path}.lock")
        lock.setStaleLockTime(0)
        if not lock.tryLock(0):
            continue  # its window lives
        lock.unlock()
        with contextlib.suppress(NeedlewrightError):
            found.append((path, load_panel(path)))
    return found


def origin_of(path: Path, panel: Panel) -> PanelFile | None:
    """Return the file that something put aside belongs to, as it was then; None when it never had one."""
    try:
        origin = json.loads(Path(f"{path}{_ORIGIN}").read_text(encoding="utf-8"))
        return PanelFile(Path(origin["path"]), panel, str(origin["fingerprint"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def forget(path: Path) -> None:
    """Take away what was put aside."""
    with contextlib.suppress(OSError):
        path.unlink(missing_ok=True)
        Path(f"{path}{_ORIGIN}").unlink(missing_ok=True)


def _keep(panel: Panel, path: Path, origin: PanelFile | None) -> bool:
    try:
        beside = Path(f"{path}{_ORIGIN}")
        if origin is None:
            with contextlib.suppress(OSError):
                beside.unlink(missing_ok=True)
        else:
            known = {"path": str(origin.path.absolute()), "fingerprint": origin.fingerprint}
            write_whole(beside, json.dumps(known).encode("utf-8"))
        write_whole(path, panel_text(panel).encode("utf-8"))
    except NeedlewrightError:
        return False  # no room aside is no reason to disturb the work itself
    return True


def _age(path: Path) -> float:
    return path.stat().st_mtime
