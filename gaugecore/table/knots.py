"""Free-knot tables: the fewest straight pieces, their ends where the curve wants them.

Every piece is a record of its end (place and output) and a slope; the firmware looks up where to start by the
place's highest four bits, walks to the piece, and goes back from its end by one multiplication.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gaugecore.table.places import Integers

#: The first index has an entry for each value of this many high bits of the place.
INDEX_BITS = 4
_PLACE_BITS = 16
#: Up to so many pieces are smaller and quicker written out as code than looked up.
_MOST_WRITTEN_OUT = 5
#: The same where two maps could share the code that looks up.
_MOST_WRITTEN_OUT_OF_TWO = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeKnots:
    """A table of straight pieces with their knots anywhere.

    Attributes
    ----------
    ends : tuple of int
        Place at which each piece ends, rising; the last is the highest place in use.
    at_ends : tuple of int
        Output there, less the offset.
    slopes : tuple of int
        Outputs a place, in units of ``2 ** -slope_bits``, of the piece that ends there.
    slope_bits : int
        Binary places of the slopes, 16 unless a piece is steeper than one output a place.
    offset : int
        What is added to every output.
    fewest : int
        The fewest pieces any such path can have: a proven lower bound.
    alone : bool
        Whether it is the only map of its table.
    """

    ends: tuple[int, ...]
    at_ends: tuple[int, ...]
    slopes: tuple[int, ...]
    slope_bits: int = 16
    offset: int = 0
    fewest: int = 1
    alone: bool = True

    @property
    def size(self) -> int:
        """Return the number of pieces."""
        return len(self.ends)

    @property
    def written_out(self) -> bool:
        """Return whether C holds the pieces as code rather than as data; the integers are the same."""
        return self.size <= (_MOST_WRITTEN_OUT if self.alone else _MOST_WRITTEN_OUT_OF_TWO)

    @property
    def index(self) -> tuple[int, ...]:
        """Return the piece to start looking from, for each value of the place's highest bits."""
        starts = np.arange(1 << INDEX_BITS) << (_PLACE_BITS - INDEX_BITS)
        found = np.searchsorted(np.asarray(self.ends), np.minimum(starts, self.ends[-1]))
        return tuple(int(piece) for piece in found)

    def outputs(self, places: Integers) -> Integers:
        """Return the integers at places, bit for bit what the firmware computes."""
        ends = np.asarray(self.ends, dtype=np.int64)
        piece = np.searchsorted(ends, places)
        back = ((ends[piece] - places) * np.asarray(self.slopes, dtype=np.int64)[piece]) >> self.slope_bits
        return np.asarray(np.asarray(self.at_ends, dtype=np.int64)[piece] - back + self.offset)
