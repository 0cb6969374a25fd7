"""The line protocol as text: framing, requests, answers. Pure; docs/line-protocol.md is the contract.

Bytes in, lines out, never an exception for what a wire may bring: a line that is not whole and valid is
counted and forgotten.
"""

from __future__ import annotations

import binascii
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from gaugecore.errors import ProtocolError

PROTOCOL_VERSION = 1
LONGEST_BODY = 72
#: Body, ``*``, four digits, line feed; a board needs a buffer of this many bytes, no more.
LONGEST_LINE = LONGEST_BODY + 6
LAST_SEQUENCE = 65535
#: A servo command on the line is a count of 0.5 µs, the tick of a 16 MHz timer divided by 8.
TICKS_PER_US = 2
#: Most commands, or raw values, that one ``move`` or ``raw`` carries.
MOST_VALUES = 8
#: Most table bytes that one ``block`` carries, as two hex digits each.
MOST_BLOCK_BYTES = 24

_BODY = re.compile(r"[A-Za-z0-9.-]+(?: [A-Za-z0-9.-]+)*")
_FRAMED = re.compile(rb"([A-Za-z0-9. -]{1,%d})\*([0-9A-F]{4})" % LONGEST_BODY)
_WHOLE_NUMBER = re.compile(r"0|-?[1-9][0-9]{0,9}")


def checksum(body: bytes) -> int:
    """Return the CRC-16/CCITT-FALSE of a body.

    Examples
    --------
    >>> f"{checksum(b'123456789'):04X}"   # the check value of the published catalogue of CRCs
    '29B1'
    """
    return binascii.crc_hqx(body, 0xFFFF)


def frame(body: str) -> bytes:
    r"""Return a body as a line, ready to send.

    Raises
    ------
    ProtocolError
        If the body is longer than `LONGEST_BODY` or is not words of letters, digits, dots and hyphens with
        one space between.

    Examples
    --------
    >>> frame("17 move 0 3000")
    b'17 move 0 3000*F203\n'
    """
    if len(body) > LONGEST_BODY or not _BODY.fullmatch(body):
        raise ProtocolError(
            "this cannot be sent as a line",
            found=body,
            accepted=f"words of letters, digits, dots and hyphens, {LONGEST_BODY} characters at most",
        )
    raw = body.encode("ascii")
    return b"%s*%04X\n" % (raw, checksum(raw))


def unframe(line: bytes) -> str | None:
    """Return the body of a line without its line feed, None when the line is not valid.

    Examples
    --------
    >>> unframe(b"17 move 0 3000*F203")
    '17 move 0 3000'
    >>> unframe(b"17 move 0 4000*F203") is None
    True
    """
    match = _FRAMED.fullmatch(line)
    if match is None or int(match[2], 16) != checksum(match[1]):
        return None
    body = match[1].decode("ascii")
    return body if _BODY.fullmatch(body) else None


@dataclass(slots=True)
class LineReader:
    """Cuts a stream of bytes into valid bodies, and finds its way back after garbage.

    Attributes
    ----------
    good, bad, overlong : int
        Lines that were valid, lines that were not, and runs of bytes too long to be a line.
    """

    good: int = 0
    bad: int = 0
    overlong: int = 0
    _held: bytearray = field(default_factory=bytearray)
    _skipping: bool = False

    def feed(self, data: bytes) -> Iterator[str]:
        """Take what came in; yield the body of every valid line it completes."""
        for piece in _at_line_feeds(data):
            body = self._take(piece)
            if body is not None:
                yield body

    def _take(self, piece: bytes) -> str | None:
        ended = piece.endswith(b"\n")
        self._held += piece[:-1] if ended else piece
        if len(self._held) >= LONGEST_LINE:
            # memory stays bounded whatever comes; the rest up to the next line feed belongs to it
            self.overlong += not self._skipping
            self._skipping = True
            self._held.clear()
        if not ended:
            return None
        line, skipped = bytes(self._held), self._skipping
        self._held.clear()
        self._skipping = False
        if skipped or not line:
            return None
        body = unframe(line)
        self.good += body is not None
        self.bad += body is None
        return body


def _at_line_feeds(data: bytes) -> Iterator[bytes]:
    start = 0
    while start < len(data):
        end = data.find(b"\n", start) + 1 or len(data)
        yield data[start:end]
        start = end


@dataclass(frozen=True, slots=True)
class Request:
    """What the computer asks: a number that only counts up, a verb, its words."""

    sequence: int
    verb: str
    words: tuple[str, ...] = ()

    def body(self) -> str:
        """Return the request as a body.

        Examples
        --------
        >>> Request(17, "move", ("0", "3000")).body()
        '17 move 0 3000'
        """
        return " ".join((str(self.sequence), self.verb, *self.words))


@dataclass(frozen=True, slots=True)
class Answer:
    """What the board answers: the number of the request, done or not, and what there is to say."""

    sequence: int
    done: bool
    words: tuple[str, ...] = ()

    def body(self) -> str:
        """Return the answer as a body.

        Examples
        --------
        >>> Answer(17, False, ("limit", "2000", "4000")).body()
        '17 no limit 2000 4000'
        """
        return " ".join((str(self.sequence), "ok" if self.done else "no", *self.words))


def parse_request(body: str) -> Request | None:
    """Return the request in a valid body, None when it is none."""
    words = body.split(" ")
    sequence = whole_number(words[0], 1, LAST_SEQUENCE)
    if sequence is None or len(words) < 2:
        return None
    return Request(sequence, words[1], tuple(words[2:]))


def parse_answer(body: str) -> Answer | None:
    """Return the answer in a valid body, None when it is none."""
    words = body.split(" ")
    sequence = whole_number(words[0], 1, LAST_SEQUENCE)
    if sequence is None or len(words) < 2 or words[1] not in ("ok", "no"):
        return None
    return Answer(sequence, words[1] == "ok", tuple(words[2:]))


def whole_number(word: str, low: int, high: int) -> int | None:
    """Return a whole number written the one way the protocol allows, None when it is not or lies outside.

    Examples
    --------
    >>> whole_number("3000", 0, 65535), whole_number("03000", 0, 65535), whole_number("70000", 0, 65535)
    (3000, None, None)
    """
    if not _WHOLE_NUMBER.fullmatch(word):
        return None
    number = int(word)
    return number if low <= number <= high else None
