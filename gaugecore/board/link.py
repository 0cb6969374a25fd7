"""The link: asks the board and gets its answer, over a wire that may fail in any way.

Every request is timed out, repeated, and in the end given up with a sentence. A wire that went away is opened
again; a board that was reset is greeted again; garbage and stale answers are counted and passed over. Since a
request repeated with its number is not carried out twice, repeating is always safe.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from gaugecore.board.messages import (
    LAST_SEQUENCE,
    PROTOCOL_VERSION,
    Answer,
    LineReader,
    Request,
    frame,
    parse_answer,
    whole_number,
)
from gaugecore.errors import BoardError, NoAnswerError, PortError, ProtocolError, RefusedError


class Wire(Protocol):
    """Bytes to and from a board. Everything it raises is a `PortError`."""

    def write(self, data: bytes) -> None:
        """Send all of it."""

    def read(self, wait_s: float) -> bytes:
        """Return what has come, at the latest after `wait_s` seconds; nothing when nothing came."""

    def close(self) -> None:
        """Let go of the port; never fails."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Patience:
    """How long the link waits, in seconds.

    Attributes
    ----------
    answer_s : float
        For one answer, before the request is repeated; the protocol promises 0.25.
    tries : int
        How often a request is sent before the port is opened anew.
    request_s : float
        For a request all in all, repeats and reconnections included.
    connect_s : float
        For the first greeting: many boards restart when the port opens and take a second or two.
    """

    answer_s: float = 0.4
    tries: int = 3
    request_s: float = 4.0
    connect_s: float = 3.0


@dataclass(slots=True)
class Counters:
    """What went on, and wrong, on a link since it was made."""

    requests: int = 0
    repeats: int = 0
    stale_answers: int = 0
    bad_lines: int = 0
    reconnections: int = 0
    restarts: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """What the board said when it was greeted."""

    version: int
    virtual: bool
    channels: int
    name: str


class Link:
    """Requests and answers. Safe to use from several threads.

    Parameters
    ----------
    open_wire : callable
        Opens the port; called again after a failure.
    name : str
        What the port is called in messages.
    patience : Patience
        How long to wait.
    on_close : callable or None
        Called once, when the link is closed for good.

    Attributes
    ----------
    trouble : str
        Why the board is out of reach just now, empty when it answered last; may be read from any thread,
        while another one still tries.
    """

    def __init__(
        self,
        open_wire: Callable[[], Wire],
        *,
        name: str,
        patience: Patience | None = None,
        on_close: Callable[[], None] | None = None,
    ) -> None:
        self.name = name
        self.counters = Counters()
        self.identity: Identity | None = None
        self.trouble = ""
        self._patience = patience or Patience()
        self._open_wire, self._on_close = open_wire, on_close
        self._lock = threading.RLock()
        self._wire: Wire | None = None
        self._reader = LineReader()
        self._sequence = 0
        self._closed = False
        self._last_s = float("inf")

    def connect(self) -> Identity:
        """Open the port and greet the board.

        Raises
        ------
        PortError
            If the port cannot be opened.
        NoAnswerError
            If nothing that speaks the protocol answers in time.
        ProtocolError
            If the board speaks another version.
        """
        with self._lock:
            deadline_s = time.monotonic() + self._patience.connect_s
            try:
                while True:
                    self._open()
                    try:
                        return self._greet(deadline_s)
                    except PortError:  # opened, and gone again: a plug that is just being put in
                        if time.monotonic() >= deadline_s:
                            raise
                        time.sleep(0.1)
            except BoardError:
                self._drop_wire()
                raise

    def ask(self, verb: str, *words: object) -> tuple[str, ...]:
        """Return what the board answers after ``ok``.

        Raises
        ------
        RefusedError
            If the board says no.
        PortError, NoAnswerError
            If the board cannot be reached within the time of the link's patience.
        """
        with self._lock:
            deadline_s = time.monotonic() + self._patience.request_s
            pause_s = 0.01
            while True:
                try:
                    self._reopen_if_lost(deadline_s)
                    answer = self._exchange(verb, tuple(map(str, words)))
                    self.trouble = ""
                    if answer.done:
                        return answer.words
                    if answer.words[:1] != ("hello",):
                        raise Refusal(verb, answer, where=self.name)
                    self.counters.restarts += 1
                    self._greet(deadline_s)
                except (PortError, NoAnswerError) as error:
                    self.trouble = str(error)
                    self._drop_wire()
                    if self._closed or time.monotonic() >= min(deadline_s, self._last_s):
                        raise
                    time.sleep(pause_s)
                    pause_s = min(2 * pause_s, 0.2)

    def hurry(self, time_s: float) -> None:
        """Wait no longer than so many seconds from now for a board that is out of reach, in all that follows.

        For whoever is leaving: a board that answers is still asked everything.
        """
        self._last_s = min(self._last_s, time.monotonic() + time_s)

    def close(self) -> None:
        """Let go of the port; the link is not used again."""
        self._closed = True
        with self._lock:
            self._drop_wire()
            if self._on_close is not None:
                self._on_close()
                self._on_close = None

    def _open(self) -> None:
        if self._closed:
            raise PortError("the link is closed", where=self.name)
        self._drop_wire()
        self._wire = self._open_wire()
        self._reader = LineReader()
        self._wire.write(b"\n")  # ends whatever was left half-sent

    def _reopen_if_lost(self, deadline_s: float) -> None:
        if self._wire is None:
            self._open()
            self._greet(deadline_s)
            self.counters.reconnections += 1

    def _drop_wire(self) -> None:
        if self._wire is not None:
            self._wire.close()
        self._wire = None

    def _greet(self, deadline_s: float) -> Identity:
        while True:
            try:
                answer = self._exchange("hello", (str(PROTOCOL_VERSION),), tries=1)
                break
            except NoAnswerError:
                if time.monotonic() >= min(deadline_s, self._last_s):
                    raise
        self.identity = _identity(answer, where=self.name)
        return self.identity

    def _exchange(self, verb: str, words: tuple[str, ...], *, tries: int | None = None) -> Answer:
        """Send one request, repeat it while there is no answer, return the answer."""
        assert self._wire is not None
        self._sequence = self._sequence % LAST_SEQUENCE + 1
        line = frame(Request(self._sequence, verb, words).body())
        self.counters.requests += 1
        for attempt in range(tries or self._patience.tries):
            self.counters.repeats += attempt > 0
            self._wire.write(line)
            answer = self._await(self._sequence)
            if answer is not None:
                return answer
        raise NoAnswerError(
            "the board does not answer",
            where=self.name,
            accepted="a board with the bench firmware, or a virtual board; see to cable, power and port name",
        )

    def _await(self, sequence: int) -> Answer | None:
        assert self._wire is not None
        deadline_s = time.monotonic() + self._patience.answer_s
        while (left_s := deadline_s - time.monotonic()) > 0:
            bad_before = self._reader.bad + self._reader.overlong
            found = None
            for body in self._reader.feed(self._wire.read(left_s)):
                answer = parse_answer(body)
                if answer is not None and answer.sequence == sequence and found is None:
                    found = answer
                else:
                    self.counters.stale_answers += 1
            self.counters.bad_lines += self._reader.bad + self._reader.overlong - bad_before
            if found is not None:
                return found
        return None


#: Why a board refuses, by the word it answers.
REASONS = {
    "verb": "this board does not know the request",
    "words": "the board does not understand the words of the request",
    "channel": "the board has no such channel",
    "kind": "this kind of movement cannot do that",
    "limit": "the command is outside the limits stored in the board",
    "range": "the setting is outside what the board can do",
    "table": "there is no valid table in the board",
    "upload": "the upload of the table is out of step",
    "crc": "the table did not arrive as it was sent",
    "space": "the table is too long for the board",
    "storage": "the board cannot store it",
}


class Refusal(RefusedError):
    """The board said no.

    Attributes
    ----------
    reason : str
        Its first word, as in the line protocol.
    numbers : tuple of str
        What came after it.
    """

    def __init__(self, verb: str, answer: Answer, *, where: str) -> None:
        self.reason, self.numbers = answer.words[0] if answer.words else "", answer.words[1:]
        what = REASONS.get(self.reason, "the board refuses, with a reason this program does not know")
        accepted = f"{' to '.join(self.numbers)} in the board's units" if self.numbers else ""
        found = None if self.reason in REASONS else self.reason
        super().__init__(f"{what} ({verb})", where=where, found=found, accepted=accepted)


def _identity(answer: Answer, *, where: str) -> Identity:
    words = answer.words
    version = whole_number(words[0], 1, 0xFFFF) if answer.done and len(words) == 4 else None
    channels = whole_number(words[2], 1, 0xFFFF) if version is not None else None
    if version is None or channels is None or words[1] not in ("real", "virtual"):
        raise ProtocolError("the board's greeting makes no sense", where=where, found=answer.body())
    if version != PROTOCOL_VERSION:
        raise ProtocolError(
            "the board speaks another version of the line protocol",
            where=where,
            found=version,
            accepted=f"version {PROTOCOL_VERSION}; put matching firmware on the board",
        )
    return Identity(version=version, virtual=words[1] == "virtual", channels=channels, name=words[3])
