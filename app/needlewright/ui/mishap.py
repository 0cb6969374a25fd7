"""When the program itself is at fault: one sentence, the work put aside, and the window stays."""

from __future__ import annotations

import sys
import threading
import traceback
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
        notes = recovery_folder() / "last-error.txt"
        notes.write_text("".join(traceback.format_exception(error)), encoding="utf-8")
        kept = self._recovery.keep_now()
        safe = self.tr(" Your changes are safe in {0}.").format(kept) if kept is not None else ""
        self._strip.say(
            self.tr("The program made a mistake ({0}: {1}).{2} Details are in {3}.").format(
                type(error).__name__, error, safe, notes
            )
        )

    def _take(self, _kind: type[BaseException], error: BaseException, _trace: TracebackType | None) -> None:
        if isinstance(error, KeyboardInterrupt):
            sys.exit(2)
        self._happened.emit(error)
