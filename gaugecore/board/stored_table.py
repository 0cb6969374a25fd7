"""A table as bytes in a slot of the board, format 1 of docs/line-protocol.md section 5."""

from __future__ import annotations

import struct
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Self

from gaugecore.errors import ProtocolError

FORMAT = 1
#: What its byte holds.
MOST_HYSTERESIS = 0xFF
_HEAD = struct.Struct("<BBBB")
_KNOT = struct.Struct("<HH")

Branch = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class StoredTable:
    """Knots (raw value, command), for a raw value that rises and, maybe, for one that falls.

    Attributes
    ----------
    rising : tuple of (int, int)
        Used when the raw value is higher than the one before.
    falling : tuple of (int, int)
        Used when it is lower; empty: `rising` serves both.
    hysteresis : int
        By more than so many raw units, 0 to 255, the raw value must turn back before the branch changes.
    """

    rising: Branch
    falling: Branch = ()
    hysteresis: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.hysteresis <= MOST_HYSTERESIS:
            raise ProtocolError(
                "the hysteresis of a stored table",
                found=self.hysteresis,
                accepted=f"0 to {MOST_HYSTERESIS} raw units",
            )
        for branch in (self.rising, self.falling) if self.falling else (self.rising,):
            raws = [raw for raw, _ in branch]
            if not 2 <= len(branch) <= 255 or any(a >= b for a, b in pairwise(raws)):
                raise ProtocolError("a branch of a stored table needs 2 to 255 knots with rising raw values")
            if any(not 0 <= number <= 0xFFFF for knot in branch for number in knot):
                raise ProtocolError("a stored table holds whole numbers from 0 to 65535")

    def to_bytes(self) -> bytes:
        """Return the bytes to upload.

        Examples
        --------
        >>> StoredTable(((0, 2000), (65535, 4000))).to_bytes().hex(" ")
        '01 02 00 00 00 00 d0 07 ff ff a0 0f'
        """
        head = _HEAD.pack(FORMAT, len(self.rising), len(self.falling), self.hysteresis)
        return head + b"".join(_KNOT.pack(*knot) for knot in self.rising + self.falling)

    @classmethod
    def from_bytes(cls, content: bytes) -> Self:
        """Return the table in a slot.

        Raises
        ------
        ProtocolError
            If the bytes are not of format 1.
        """
        if len(content) < _HEAD.size:
            raise ProtocolError("a stored table has at least 4 bytes", found=len(content))
        form, rising, falling, hysteresis = _HEAD.unpack_from(content)
        if form != FORMAT or len(content) != _HEAD.size + _KNOT.size * (rising + falling):
            raise ProtocolError("these bytes are not a stored table of format 1", found=content[:8].hex(" "))
        knots: Sequence[tuple[int, int]] = [(r, c) for r, c in _KNOT.iter_unpack(content[_HEAD.size :])]
        return cls(tuple(knots[:rising]), tuple(knots[rising:]), hysteresis)

    def command(self, raw: int, *, falls: bool = False) -> int:
        """Return the command for a raw value, exactly as the firmware works it out.

        Examples
        --------
        >>> StoredTable(((0, 4000), (65535, 2000))).command(32768)
        3000
        """
        branch = self.falling if falls and self.falling else self.rising
        place = bisect_right(branch, (raw, 0xFFFF))
        if place == 0:
            return branch[0][1]
        if place == len(branch):
            return branch[-1][1]
        (r0, c0), (r1, c1) = branch[place - 1], branch[place]
        step = ((raw - r0) * abs(c1 - c0) + (r1 - r0) // 2) // (r1 - r0)
        return c0 + step if c1 > c0 else c0 - step


@dataclass(frozen=True, slots=True)
class Course:
    """Which way the raw value of a channel goes, exactly as the firmware keeps it.

    Attributes
    ----------
    furthest : int or None
        The raw value that went furthest this way; None before the first.
    falls : bool
        Whether the way is down.
    """

    furthest: int | None = None
    falls: bool = False

    def after(self, raw: int, hysteresis: int) -> Course:
        """Return the course after one more raw value.

        Examples
        --------
        >>> course = Course().after(100, 5)
        >>> [(course := course.after(raw, 5)).falls for raw in (95, 94, 98, 99, 100)]
        [False, True, True, True, False]
        """
        furthest = self.furthest
        if furthest is None:
            return Course(raw)
        back = raw - furthest if self.falls else furthest - raw
        if back <= 0:
            return Course(raw, self.falls)
        return Course(raw, not self.falls) if back > hysteresis else self
