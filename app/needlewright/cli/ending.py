"""Ends a verb that moves needles as Ctrl-C does when its terminal closes or somebody kills it."""

from __future__ import annotations

import contextlib
import signal
import threading
from collections.abc import Iterator
from types import FrameType
from typing import NoReturn


@contextlib.contextmanager
def ended_gently() -> Iterator[None]:
    """Let the needles relax and the board's limits be put back on SIGTERM and SIGHUP, where there are any."""
    numbers = []
    if threading.current_thread() is threading.main_thread():
        named = [getattr(signal, name, None) for name in ("SIGTERM", "SIGHUP")]
        # what somebody has arranged already, as `nohup` does, stays
        numbers = [n for n in named if n is not None and signal.getsignal(n) is signal.SIG_DFL]
    for number in numbers:
        signal.signal(number, _interrupt)
    try:
        yield
    finally:
        for number in numbers:
            signal.signal(number, signal.SIG_DFL)


def _interrupt(number: int, frame: FrameType | None) -> NoReturn:
    raise KeyboardInterrupt
