"""Finding the uniform table: the fewest evenly spaced knots that stay inside the tunnel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from gaugecore.table.places import HIGHEST_PLACE, Integers
from gaugecore.table.target import Tunnel
from gaugecore.table.uniform import COARSE, FINER, MOST_INTERVALS, MOST_STEP, Uniform

#: Knots looked at in one place at most; a wide tunnel has more than are needed.
_MOST_KNOTS = 96

_Reached = tuple[Integers, Integers, Integers]


def fewest_intervals(
    tunnels: Sequence[Tunnel],
    *,
    offset: int,
    fine_bits: int = 0,
    fraction_bits: int = COARSE,
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
    fraction_bits : int
        `COARSE` or `FINER`.
    at_least, at_most : int
        Numbers of intervals worth trying.

    Returns
    -------
    list of Uniform or None
        None when there are none.
    """
    for n in range(at_least, at_most + 1):
        alike = Uniform(n=n, fine_bits=fine_bits, fraction_bits=fraction_bits, offset=offset, knots=())
        found: list[Uniform] = []
        for tunnel in tunnels:
            knots = _knots(tunnel, alike)
            if knots is None:
                break
            found.append(replace(alike, knots=tuple(knots)))
        else:
            return found
    return None


def _knots(tunnel: Tunnel, form: Uniform) -> list[int] | None:
    """Return the knots of a table that is given but for them, None when there are none.

    Notes
    -----
    From a given knot the steps that stay inside the tunnel are one run of integers, since every fraction
    bounds the step from below and from above. So the set of possible next knots is known exactly, and
    walking it forward and back finds a table whenever there is one.
    """
    reached: list[_Reached] = []
    knots: Integers | None = None
    for walls in _walls(tunnel, form):
        if knots is None:
            knots = np.arange(walls.low[0], walls.high[0] + 1)
        knots = _thinned(knots)
        least, most = _steps(knots, walls, form.fraction_bits)
        alive = least <= most
        if not alive.any():
            return None
        knots, least, most = knots[alive], least[alive], most[alive]
        reached.append((knots, least, most))
        knots = _union(knots + least, knots + most)
    assert knots is not None  # there is always a place
    knots = knots[knots <= HIGHEST_PLACE]
    return _walk_back(knots, reached) if knots.size else None


@dataclass(frozen=True, slots=True, eq=False)
class _Walls:
    """The fine outputs allowed at the fractions of one interval, the fractions rising; all of one shape."""

    fraction: Integers
    low: Integers
    high: Integers


def _walls(tunnel: Tunnel, form: Uniform) -> Iterator[_Walls]:
    """Yield the walls of one interval after the other."""
    places = np.arange(tunnel.places.n_cells, dtype=np.int64) << tunnel.places.left_shift
    scaled = places * form.n >> (FINER - form.fraction_bits)
    first = np.flatnonzero(np.diff(scaled, prepend=-1))
    last = np.append(first[1:], scaled.size) - 1
    # both walls rise, so of the places that share a fraction the last and the first are the strictest
    low = (tunnel.low[last] - form.offset) << form.fine_bits
    high = ((tunnel.high[first] - form.offset + 1) << form.fine_bits) - 1
    interval = scaled[first] >> form.fraction_bits
    fraction = scaled[first] & ((1 << form.fraction_bits) - 1)
    ends = np.searchsorted(interval, np.arange(int(interval[-1]) + 2))
    for start, end in pairwise(ends.tolist()):
        yield _Walls(fraction[start:end], low[start:end], high[start:end])


def _steps(knots: Integers, walls: _Walls, fraction_bits: int) -> tuple[Integers, Integers]:
    """Return the least and the most step allowed from each knot; least above most where there is none."""
    on_knot = walls.fraction == 0
    low, high, fraction = walls.low[~on_knot], walls.high[~on_knot], walls.fraction[~on_knot]
    from_knot = knots[:, None]
    least = -(((from_knot - low) << fraction_bits) // fraction).min(axis=1, initial=0)
    most = ((((high - from_knot + 1) << fraction_bits) - 1) // fraction).min(axis=1, initial=MOST_STEP)
    inside = knots >= 0
    if on_knot.any():
        inside &= (walls.low[on_knot][0] <= knots) & (knots <= walls.high[on_knot][0])
    return least, np.where(inside, most, -1)


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
