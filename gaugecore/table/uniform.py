"""Uniform tables: knots at even spacing, any number of them, two neighbours joined by a byte-sized step.

The place times ``n`` has the interval in its high byte and the fraction in the next one, so the firmware
needs two small multiplications, no division and no search.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gaugecore.table.places import HIGHEST_PLACE, Integers
from gaugecore.table.target import Tunnel

#: The interval must fit a byte.
MOST_INTERVALS = 255
#: The step from knot to knot must fit a byte.
_MOST_STEP = 255
_FRACTIONS = 256


@dataclass(frozen=True, slots=True, kw_only=True)
class Uniform:
    """A table with knots at even spacing.

    Attributes
    ----------
    n : int
        Intervals in the full range of 65,536 places.
    fine_bits : int
        Knots count in this fraction of an output unit: halves for 1, quarters for 2.
    offset : int
        What is added to every output, in output units.
    knots : tuple of int
        Fine outputs at the knots, less the offset, rising by at most 255; one more than the intervals in use.
    """

    n: int
    fine_bits: int = 0
    offset: int = 0
    knots: tuple[int, ...]

    @property
    def size(self) -> int:
        """Return the number of entries."""
        return len(self.knots)

    def outputs(self, places: Integers) -> Integers:
        """Return the integers at places, bit for bit what the firmware computes."""
        scaled = (places * self.n) >> 8
        interval, fraction = scaled >> 8, scaled & 0xFF
        knots = np.asarray(self.knots, dtype=np.int64)
        below = knots[interval]
        fine = below + (((knots[interval + 1] - below) * fraction) >> 8)
        return np.asarray((fine >> self.fine_bits) + self.offset)


def fewest_intervals(tunnel: Tunnel, *, fine_bits: int = 0, at_least: int = 1) -> Uniform | None:
    """Return the uniform table with the fewest knots inside the tunnel, None when there is none.

    Parameters
    ----------
    tunnel : Tunnel
        The integers allowed in each cell.
    fine_bits : int
        Knots count in this fraction of an output unit.
    at_least : int
        Fewest intervals worth trying, a known lower bound.
    """
    for n in range(at_least, MOST_INTERVALS + 1):
        found = _with_intervals(tunnel, n, fine_bits)
        if found is not None:
            return found
    return None


def _with_intervals(tunnel: Tunnel, n: int, fine_bits: int) -> Uniform | None:
    """Return a table with ``n`` intervals, None when there is none.

    Notes
    -----
    From a given knot the steps that stay inside the tunnel are one run of integers, since every fraction
    bounds the step from below and from above. So the set of possible next knots is known exactly, and
    walking it forward and back finds a table whenever there is one.
    """
    offset = _offset(tunnel, fine_bits)
    low, high = _by_fraction(tunnel, n)
    low, high = (low - offset) << fine_bits, ((high - offset + 1) << fine_bits) - 1
    reached: list[tuple[Integers, Integers, Integers]] = []
    knots = np.arange(low[0, 0], high[0, 0] + 1)
    for interval in range(low.shape[0]):
        least, most = _steps(knots, low[interval], high[interval])
        alive = least <= most
        if not alive.any():
            return None
        knots, least, most = knots[alive], least[alive], most[alive]
        reached.append((knots, least, most))
        knots = _union(knots + least, knots + most)
    knots = knots[knots <= HIGHEST_PLACE]
    if not knots.size:
        return None
    return Uniform(n=n, fine_bits=fine_bits, offset=offset, knots=tuple(_walk_back(knots, reached)))


def _offset(tunnel: Tunnel, fine_bits: int) -> int:
    """Return 0 where two bytes hold the knots as they are, else the lowest output."""
    lowest, highest = int(tunnel.low[0]), int(tunnel.high[-1])
    return 0 if lowest >= 0 and (highest + 1) << fine_bits <= HIGHEST_PLACE else lowest


def _by_fraction(tunnel: Tunnel, n: int) -> tuple[Integers, Integers]:
    """Return the walls by interval and fraction, shapes (n_used, 256); where no place falls, no wall."""
    key = (tunnel.places.all_places() * n) >> 8
    starts = np.flatnonzero(np.diff(key, prepend=-1))
    ends = np.append(starts[1:], key.size) - 1
    n_used = (int(key[-1]) >> 8) + 1
    low = np.full(n_used * _FRACTIONS, -(2**40), dtype=np.int64)
    high = np.full(n_used * _FRACTIONS, 2**40, dtype=np.int64)
    # both walls rise, so of the places that share a fraction the last and the first are the strictest
    low[key[starts]], high[key[starts]] = tunnel.low[ends], tunnel.high[starts]
    return low.reshape(n_used, _FRACTIONS), high.reshape(n_used, _FRACTIONS)


def _steps(knots: Integers, low: Integers, high: Integers) -> tuple[Integers, Integers]:
    """Return the least and the most step allowed from each knot; least above most where there is none."""
    fraction = np.arange(1, _FRACTIONS, dtype=np.int64)
    from_knot = knots[:, None]
    least = -((from_knot - low[None, 1:]) * _FRACTIONS // fraction).min(axis=1)
    most = (((high[None, 1:] - from_knot + 1) * _FRACTIONS - 1) // fraction).min(axis=1)
    inside = (low[0] <= knots) & (knots <= high[0])
    return np.maximum(least, 0), np.where(inside, np.minimum(most, _MOST_STEP), -1)


def _union(firsts: Integers, lasts: Integers) -> Integers:
    """Return every integer in at least one of some runs, rising."""
    start = int(firsts.min())
    covered = np.zeros(int(lasts.max()) - start + 2, dtype=np.int64)
    np.add.at(covered, firsts - start, 1)
    np.add.at(covered, lasts - start + 1, -1)
    return np.flatnonzero(np.cumsum(covered)) + start


def _walk_back(last: Integers, reached: list[tuple[Integers, Integers, Integers]]) -> list[int]:
    """Return knots from first to last, keeping to the middle of what is possible."""
    knot = int(last[last.size // 2])
    chosen = [knot]
    for knots, least, most in reversed(reached):
        possible = knots[(knots + least <= knot) & (knot <= knots + most)]
        knot = int(possible[possible.size // 2])
        chosen.append(knot)
    return chosen[::-1]
