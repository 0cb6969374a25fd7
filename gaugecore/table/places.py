"""Where a raw value finds its place in a table.

The firmware knows 16-bit places only. A raw range of any width up to 32 bits is moved to start at zero and
shifted, left or right, until its highest place needs the sixteenth bit; a right shift lets several
neighbouring raw values share one cell. A table always rises: where the command falls with the raw value, the
cells are counted from the high end instead, which costs the firmware nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gaugecore.errors import TableError

Integers = NDArray[np.int64]

#: Highest place, and the highest integer a table gives: what two bytes hold.
HIGHEST_PLACE = 0xFFFF
_PLACE_BITS = 16
_RAW_LIMIT = 2**31


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """The way from raw values to cells and 16-bit places.

    Attributes
    ----------
    raw_low, raw_high : int
        Both ends of the raw range, inclusive; what lies outside is clamped to them.
    falling : bool
        Whether the command falls as the raw value rises; cell 0 then holds ``raw_high``.
    """

    raw_low: int
    raw_high: int
    falling: bool = False

    def __post_init__(self) -> None:
        accepted = "whole numbers LO below HI, both within 32 bits (-2147483648 to 2147483647)"
        if not self.raw_low < self.raw_high:
            raise TableError(
                "the raw range has no width", found=f"{self.raw_low} to {self.raw_high}", accepted=accepted
            )
        if self.raw_low < -_RAW_LIMIT or self.raw_high >= _RAW_LIMIT:
            raise TableError(
                "the raw range does not fit 32 bits",
                found=f"{self.raw_low} to {self.raw_high}",
                accepted=accepted,
            )

    @property
    def span(self) -> int:
        """Return the distance between both ends of the raw range."""
        return self.raw_high - self.raw_low

    @property
    def right_shift(self) -> int:
        """Return by how many bits an offset is shifted down to make a cell."""
        return max(0, self.span.bit_length() - _PLACE_BITS)

    @property
    def left_shift(self) -> int:
        """Return by how many bits a cell is shifted up to make a place."""
        return max(0, _PLACE_BITS - self.span.bit_length())

    @property
    def n_cells(self) -> int:
        """Return how many cells there are, from 2 to 65,536."""
        return (self.span >> self.right_shift) + 1

    def cells(self, raw: ArrayLike) -> Integers:
        """Return the cells of raw values, clamped to the raw range."""
        held = np.clip(np.asarray(raw, dtype=np.int64), self.raw_low, self.raw_high)
        offset = self.raw_high - held if self.falling else held - self.raw_low
        return np.asarray(offset >> self.right_shift)

    def all_places(self) -> Integers:
        """Return the place of every cell, in order."""
        return np.arange(self.n_cells, dtype=np.int64) << self.left_shift

    def cell_ends(self) -> tuple[Integers, Integers]:
        """Return the raw values in every cell that have the lowest and the highest command."""
        first = np.arange(self.n_cells, dtype=np.int64) << self.right_shift
        last = np.minimum(first + (1 << self.right_shift) - 1, self.span)
        if self.falling:
            return self.raw_high - first, self.raw_high - last
        return self.raw_low + first, self.raw_low + last
