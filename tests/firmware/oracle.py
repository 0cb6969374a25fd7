"""Random and mutated lines, and an independent idea of what they may do to a board.

The other implementation of docs/line-protocol.md, `gaugecore.board.virtual`, judges: it gets the same bytes.
"""

from __future__ import annotations

import random
import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field

from gaugecore.board.messages import LAST_SEQUENCE, LineReader, frame
from gaugecore.board.misbehaviour import Imp, Misbehaviour
from gaugecore.board.stored_table import StoredTable
from gaugecore.board.virtual import VirtualBoard
from gaugecore.board.virtual_options import VirtualOptions

VERBS = (
    "hello alive limits loss watchdog move raw relax status home counters table begin block commit x"
).split()
_EDGES = (0, 1, 2, 599, 600, 6000, 6001, 65535, 65536, 99, 100, 60000, 60001)
_BODY_BYTES = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789.-  "


class Mirror:
    """The virtual board, fed with the bytes that the firmware is fed with.

    Parameters
    ----------
    channels : int
        How many servos.
    """

    def __init__(self, channels: int) -> None:
        self.board: VirtualBoard = VirtualOptions(channels=channels).board(Imp(Misbehaviour(), 1))
        self._reader = LineReader()

    def feed(self, data: bytes, now_s: float = 0.0) -> list[str]:
        """Return the bodies of the answers it gives."""
        answers = []
        for piece in re.findall(rb"[^\n]*\n|[^\n]+", data):
            before = (self._reader.bad, self._reader.overlong)
            bodies = list(self._reader.feed(piece))
            self.board.counts["bad"] += self._reader.bad - before[0]
            self.board.counts["overlong"] += self._reader.overlong - before[1]
            answers += [self.board.answer(body, now_s) for body in bodies]
        return [answer for answer in answers if answer is not None]


@dataclass
class Mischief:
    """Makes lines.

    Attributes
    ----------
    chance : Random
        Where they come from.
    channels : int
        How many channels the board has; some lines name more.
    sequence : int
        The number of the last request that was meant well.
    """

    chance: random.Random
    channels: int
    sequence: int = 0
    _plan: list[str] = field(default_factory=list)

    def next_sequence(self) -> int:
        """Count on."""
        self.sequence = self.sequence % LAST_SEQUENCE + 1
        return self.sequence

    def request(self) -> str:
        """Return a request: often sensible, often not."""
        if not self._plan and self.chance.random() < 0.05:
            self._plan = self._upload()
        if self._plan and self.chance.random() < 0.9:
            return self._plan.pop(0)
        verb = self.chance.choice(VERBS)
        words = [self._word() for _ in range(self.chance.choice((0, 1, 1, 2, 2, 3, 3, 4, 9, 10)))]
        if words and self.chance.random() < 0.8:
            words[0] = str(self.chance.randrange(self.channels))
        return " ".join([verb, *words])

    def _upload(self) -> list[str]:
        """Return the requests of an upload and of its use, now and then with one left out."""
        channel, count = self.chance.randrange(self.channels), self.chance.randrange(2, 10)
        knots = (sorted(self.chance.sample(range(65536), count)) for _ in range(self.chance.choice((1, 2))))
        branches = [tuple((raw, self.chance.randrange(1950, 4050)) for raw in one) for one in knots]
        drawn = [self.chance.randrange(65536) for _ in range(8)]
        content = StoredTable(branches[0], *branches[1:], hysteresis=drawn[0] % 256).to_bytes()
        blocks = [
            f"block {channel} {start} {content[start : start + 24].hex().upper()}"
            for start in range(0, len(content), 24)
        ]
        # every other value trembles about the one before, so that the hysteresis shows
        raws = [*drawn]
        for at in range(1, 8, 2):
            raws[at] = min(max(raws[at - 1] + drawn[at] % 601 - 300, 0), 65535)
        uses = [f"raw {channel} {raw}" for raw in raws]
        commit = f"commit {channel} {zlib.crc32(content):08X}"
        requests = [f"begin {channel} {len(content)}", *blocks, commit, f"table {channel}"]
        if self.chance.random() < 0.2:
            del requests[self.chance.randrange(len(requests))]
        return [*requests, *(one for use in uses for one in (use, f"status {channel}"))]

    def _word(self) -> str:
        pick = self.chance.randrange(8)
        if pick < 4:
            return str(self.chance.randrange(1900, 4100))
        if pick == 4:
            return str(
                self.chance.choice((0, 1, 2, 599, 600, 6000, 6001, 65535, 65536, 99, 100, 60000, 60001))
            )
        if pick == 5:
            return self.chance.choice(("relax", "park", "-", "007", "-1", "1.5", "4294967296"))
        return self.chance.randbytes(self.chance.randrange(1, 26)).hex().upper()

    def spoiled(self, line: bytes) -> bytes:
        """Return a line with something wrong with it; the line feed may be gone, or there may be more."""
        kind = self.chance.randrange(7)
        place = self.chance.randrange(len(line))
        if kind == 0:
            return line[:place] + bytes([line[place] ^ 1 << self.chance.randrange(8)]) + line[place + 1 :]
        if kind == 1:
            return line[:place] + line[place + 1 :]
        if kind == 2:
            return line[:place] + self.chance.randbytes(1) + line[place:]
        if kind == 3:
            return line[:place] + b"\n"
        if kind == 4:
            return line[:place] + line
        if kind == 5:
            return self.chance.randbytes(self.chance.randrange(1, 120)) + b"\n"
        body = bytes(self.chance.choice(_BODY_BYTES) for _ in range(self.chance.randrange(1, 75)))
        return body + b"*%04X\n" % self.chance.randrange(65536)

    def stream(self, count: int) -> Iterator[bytes]:
        """Yield what a bad wire may make of a well-meant `move`: changed, cut, doubled lines, and noise."""
        for _ in range(count):
            channel = self.chance.randrange(self.channels)
            command = self.chance.randrange(1900, 4100)
            sequence = self.chance.choice((self.sequence, self.sequence + 1, self.chance.randrange(70000)))
            yield self.spoiled(frame(f"{sequence} move {channel} {command}"))
