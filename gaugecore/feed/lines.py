"""Values by lines of text, as on standard input."""

from __future__ import annotations

import threading
import time
from typing import BinaryIO

from gaugecore.feed.feed import Arrival, FeedCounters
from gaugecore.feed.message import LONGEST_BYTES, SEQUENCE, Malformed, parse_message


class LineFeed:
    """Reads lines in a thread of its own, since a pipe cannot be looked at without waiting on every system.

    Parameters
    ----------
    stream : binary file
        Read until it ends; the thread ends with it, or with the program.
    """

    def __init__(self, stream: BinaryIO) -> None:
        self.counters = FeedCounters()
        self._stream = stream
        self._news = threading.Condition()
        self._values: dict[str, float] = {}
        self._at_s = 0.0
        self._finished = False
        threading.Thread(target=self._read, daemon=True).start()

    @property
    def ended(self) -> bool:
        """Return whether the stream has ended and all of it was polled."""
        with self._news:
            return self._finished and not self._values

    def poll(self, wait_s: float) -> Arrival:
        """Return the newest values, waiting for the first line at most `wait_s` seconds."""
        with self._news:
            if not self._values and not self._finished:
                self._news.wait(max(0.0, wait_s))
            arrival = Arrival(self._values, self._at_s)
            self._values = {}
            return arrival

    def close(self) -> None:
        """Listen no more."""

    def _read(self) -> None:
        try:
            while line := self._stream.readline(LONGEST_BYTES + 1):
                if len(line) > LONGEST_BYTES:
                    self.counters.oversized += 1
                    while line and not line.endswith(b"\n"):
                        line = self._stream.readline(LONGEST_BYTES)
                elif line.strip():
                    self._take(line)
        except (OSError, ValueError):
            pass  # closed under our hands: that is an end, too
        with self._news:
            self._finished = True
            self._news.notify()

    def _take(self, line: bytes) -> None:
        try:
            values = parse_message(line)
        except Malformed:
            self.counters.malformed += 1
            return
        values.pop(SEQUENCE, None)
        with self._news:
            self.counters.taken += 1
            self.counters.superseded += bool(self._values)
            self._values |= values
            self._at_s = time.monotonic()
            self._news.notify()
