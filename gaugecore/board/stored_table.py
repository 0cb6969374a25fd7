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
    """

    rising: Branch
    falling: Branch = ()

    def __post_init__(self) -> None:
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
        head = _HEAD.pack(FORMAT, len(self.rising), len(self.falling), 0)
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
        form, rising, falling, zero = _HEAD.unpack_from(content)
        if form != FORMAT or zero != 0 or len(content) != _HEAD.size + _KNOT.size * (rising + falling):
            raise ProtocolError("these bytes are not a stored table of format 1", found=content[:8].hex(" "))
        knots: Sequence[tuple[int, int]] = [(r, c) for r, c in _KNOT.iter_unpack(content[_HEAD.size :])]
        return cls(tuple(knots[:rising]), tuple(knots[rising:]))

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
