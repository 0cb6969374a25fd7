"""When the program itself is at fault: one sentence, the work put aside, and the window stays."""

from __future__ import annotations

import sys
import threading
import traceback
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QObject, Signal

from needlewright.ui.recovery import Recovery, recovery_folder
from needlewright.ui.strip import MessageStrip


class Mishap(QObject):
    """Takes what nobody caught, from any thread."""

    _happened = Signal(object)

    def __init__(self, strip: MessageStrip, recovery: Recovery, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._strip, self._recovery = strip, recovery
        self._happened.connect(self.show_error)

    def catch_all(self) -> None:
        """Stand in for the interpreter's own way of dying."""
        sys.excepthook = self._take
        threading.excepthook = lambda args: self._happened.emit(args.exc_value)

    def show_error(self, error: BaseException) -> None:
        """Say what happened, where the work is safe, and note the details for whoever mends it."""
        kept = self._recovery.keep_now()
        safe = self.tr(" Your changes are safe in {0}.").format(kept) if kept is not None else ""
        notes = _noted(error)
        where = self.tr(" Details are in {0}.").format(notes) if notes is not None else ""
        said = self.tr("The program made a mistake ({0}: {1}).").format(type(error).__name__, error)
        self._strip.say(f"{said}{safe}{where}")

    def _take(self, _kind: type[BaseException], error: BaseException, _trace: TracebackType | None) -> None:
        if isinstance(error, KeyboardInterrupt):
            sys.exit(2)
        self._happened.emit(error)


def _noted(error: BaseException) -> Path | None:
    """Write down the details; return where, None when there is no place to write to."""
    folder = recovery_folder()
    if folder is None:
        return None
    notes = folder / "last-error.txt"
    try:
        notes.write_text("".join(traceback.format_exception(error)), encoding="utf-8")
    except OSError:
        return None
    return notes
