"""The gates a free-knot table must pass, and how far the proven bound lets its pieces reach."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gaugecore.table.bound import farthest_gates
from gaugecore.table.places import Integers
from gaugecore.table.target import Tunnel


@dataclass(frozen=True, slots=True, eq=False)
class Gates:
    """A tunnel counted from its high end and upside down.

    Seen that way, a piece runs from its anchor as ``anchor + (distance * slope >> bits)``, which rounds down.

    Attributes
    ----------
    low, high : ndarray of int, shape (n_cells,)
        The outputs allowed in each cell, turned round.
    shift : int
        By how many bits a cell is shifted up to make a place.
    corner : ndarray of int, shape (n_corners,)
        The cells whose gates matter to a rising line; all others follow.
    """

    low: Integers
    high: Integers
    shift: int
    corner: Integers

    @classmethod
    def of(cls, tunnel: Tunnel) -> Gates:
        """Return the gates of a tunnel."""
        low, high = -tunnel.high[::-1], -tunnel.low[::-1]
        # a rising line is held down by the last gate before the upper wall steps up, and held up by the first
        # gate after the lower wall has stepped up
        matter = np.zeros(low.size, dtype=bool)
        matter[0] = matter[-1] = True
        matter[1:] |= np.diff(low) > 0
        matter[:-1] |= np.diff(high) > 0
        return cls(low, high, tunnel.places.left_shift, np.flatnonzero(matter))

    @property
    def last(self) -> int:
        """Return the last cell."""
        return self.low.size - 1

    def steepest(self) -> float:
        """Return a slope, in outputs a place, that any joined path through the gates has somewhere."""
        steepest = 0.0
        width = 1
        while width < self.low.size:
            rise = int((self.low[width:] - self.high[:-width]).max()) - 1
            steepest = max(steepest, rise / (width << self.shift))
            width *= 2
        return steepest


@dataclass(frozen=True, slots=True)
class Bound:
    """The fewest pieces, from both ends.

    Attributes
    ----------
    fewest : int
        The fewest rising pieces that pass all gates, wherever they change, met or not: nothing beats it.
    reach : list of int
        The last cell that 1, 2, … pieces reach.
    need : list of int
        The first cell from which 1, 2, … pieces reach the end.
    """

    fewest: int
    reach: list[int]
    need: list[int]

    @classmethod
    def of(cls, gates: Gates) -> Bound:
        """Return the bound of gates.

        Notes
        -----
        Rounding is inside the proof: an output of ``high`` is any real height below ``high + 1``.
        """
        corner = gates.corner
        low, high = gates.low[corner], gates.high[corner] + 1
        ahead = farthest_gates(corner.tolist(), low.tolist(), high.tolist())
        back = farthest_gates(
            (gates.last - corner[::-1]).tolist(), (-high[::-1]).tolist(), (-low[::-1]).tolist()
        )
        after = np.append(corner[1:] - 1, gates.last)
        before = np.append(0, corner[:-1] + 1)
        return cls(
            fewest=len(ahead),
            reach=[int(after[gate]) for gate in ahead],
            need=[int(before[corner.size - 1 - gate]) for gate in back],
        )
