"""Finding the uniform table: the fewest evenly spaced knots that stay inside the tunnel."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gaugecore.table.places import HIGHEST_PLACE, Integers
from gaugecore.table.target import Tunnel
from gaugecore.table.uniform import MOST_INTERVALS, MOST_STEP, Uniform

_FRACTIONS = 256
#: Where no place falls on a fraction there is no wall; far beyond any output, and safe to shift.
_NO_WALL = 2**30
#: Knots looked at in one place at most; a wide tunnel has more than are needed.
_MOST_KNOTS = 96

_Reached = tuple[Integers, Integers, Integers]


def fewest_intervals(
    tunnels: Sequence[Tunnel],
    *,
    offset: int,
    fine_bits: int = 0,
    at_least: int = 1,
    at_most: int = MOST_INTERVALS,
) -> list[Uniform] | None:
    """Return uniform tables with the fewest knots, one for each tunnel, all spaced alike.

    Parameters
    ----------
    tunnels : sequence of Tunnel
        The integers allowed in each cell, for one direction or both.
    offset : int
        What is added to every output, so that two bytes hold the rest.
    fine_bits : int
        Knots count in this fraction of an output unit.
    at_least, at_most : int
        Numbers of intervals worth trying.

    Returns
    -------
    list of Uniform or None
        None when there are none.
    """
    for n in range(at_least, at_most + 1):
        found: list[Uniform] = []
        for tunnel in tunnels:
            knots = _knots(tunnel, n, offset, fine_bits)
            if knots is None:
                break
            found.append(Uniform(n=n, fine_bits=fine_bits, offset=offset, knots=tuple(knots)))
        else:
            return found
    return None


def _knots(tunnel: Tunnel, n: int, offset: int, fine_bits: int) -> list[int] | None:
    """Return the knots of a table with ``n`` intervals, None when there is none.

    Notes
    -----
    From a given knot the steps that stay inside the tunnel are one run of integers, since every fraction
    bounds the step from below and from above. So the set of possible next knots is known exactly, and
    walking it forward and back finds a table whenever there is one.
    """
    low, high = _walls(tunnel, n)
    low, high = (low - offset) << fine_bits, ((high - offset + 1) << fine_bits) - 1
    reached: list[_Reached] = []
    knots = np.arange(low[0, 0], high[0, 0] + 1)
    for interval in range(low.shape[0]):
        knots = _thinned(knots)
        least, most = _steps(knots, low[interval], high[interval])
        alive = least <= most
        if not alive.any():
            return None
        knots, least, most = knots[alive], least[alive], most[alive]
        reached.append((knots, least, most))
        knots = _union(knots + least, knots + most)
    knots = knots[knots <= HIGHEST_PLACE]
    return _walk_back(knots, reached) if knots.size else None


def _walls(tunnel: Tunnel, n: int) -> tuple[Integers, Integers]:
    """Return the walls by interval and fraction, shapes (n_used, 256)."""
    places = tunnel.places
    n_used = (((places.n_cells - 1) << places.left_shift) * n >> 16) + 1
    key = np.arange(n_used * _FRACTIONS + 1, dtype=np.int64)
    first_place = -((-key << 8) // n)
    first = np.minimum(-((-first_place) >> places.left_shift), places.n_cells)
    starts, ends = first[:-1], first[1:]
    used = starts < ends
    low = np.full(key.size - 1, -_NO_WALL, dtype=np.int64)
    high = np.full(key.size - 1, _NO_WALL, dtype=np.int64)
    # both walls rise, so of the places that share a fraction the last and the first are the strictest
    low[used], high[used] = tunnel.low[ends[used] - 1], tunnel.high[starts[used]]
    return low.reshape(n_used, _FRACTIONS), high.reshape(n_used, _FRACTIONS)


def _steps(knots: Integers, low: Integers, high: Integers) -> tuple[Integers, Integers]:
    """Return the least and the most step allowed from each knot; least above most where there is none."""
    fraction = np.arange(1, _FRACTIONS, dtype=np.int64)
    from_knot = knots[:, None]
    least = -((from_knot - low[None, 1:]) * _FRACTIONS // fraction).min(axis=1)
    most = (((high[None, 1:] - from_knot + 1) * _FRACTIONS - 1) // fraction).min(axis=1)
    inside = (low[0] <= knots) & (knots <= high[0]) & (knots >= 0)
    return np.maximum(least, 0), np.where(inside, np.minimum(most, MOST_STEP), -1)


def _thinned(knots: Integers) -> Integers:
    return knots if knots.size <= _MOST_KNOTS else knots[:: -(-knots.size // _MOST_KNOTS)]


def _union(firsts: Integers, lasts: Integers) -> Integers:
    """Return every integer in at least one of some runs, rising."""
    start = int(firsts.min())
    covered = np.zeros(int(lasts.max()) - start + 2, dtype=np.int64)
    np.add.at(covered, firsts - start, 1)
    np.add.at(covered, lasts - start + 1, -1)
    return np.flatnonzero(np.cumsum(covered)) + start


def _walk_back(last: Integers, reached: list[_Reached]) -> list[int]:
    """Return knots from first to last, keeping to the middle of what is possible."""
    knot = int(last[last.size // 2])
    chosen = [knot]
    for knots, least, most in reversed(reached):
        possible = knots[(knots + least <= knot) & (knot <= knots + most)]
        knot = int(possible[possible.size // 2])
        chosen.append(knot)
    return chosen[::-1]
