"""Finding the free-knot table: the fewest pieces, in whole numbers, that stay inside the tunnel.

The proven bound is taken from both ends, see `gates`: a piece that has j before it can start neither beyond
what j pieces reach, nor short of where the pieces that are left can still reach the other end. Within that,
pieces anchored on whole places and outputs are compared with exact integer arithmetic, all that may be the
next one at a time, and those that reach farthest are carried on. As many pieces as the bound are proven to be
minimal.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass

import numpy as np

from gaugecore.table.gates import Bound, Gates
from gaugecore.table.knots import FreeKnots
from gaugecore.table.places import Integers
from gaugecore.table.target import Tunnel

_MOST_SLOPE = 0xFFFF
_MOST_SLOPE_BITS = 16
#: Binary places given up for a piece steeper than the curve's own steepest slope.
_SLOPE_BITS_TO_SPARE = 2
#: Pieces beyond the bound that are tried in turn.
_SPARE = (0, 1, 2, 3, 5, 9, 17, 33, 65, 129)
#: Pieces carried on, those that reach farthest.
_KEPT = 32
#: Anchors compared for the next piece: places in all and of them next to the far end, and outputs at each.
_PLACES_TRIED = 48
_FAR_PLACES_TRIED = 24
_OUTPUTS_TRIED = 7


@dataclass(frozen=True, slots=True, eq=False)
class _Front:
    """Pieces that have as many before them, from their anchors on, their slopes still open.

    Attributes
    ----------
    cell, output : ndarray of int, shape (n,)
        The anchors.
    parent : ndarray of int, shape (n,)
        The pieces before them, in the front before.
    corner : ndarray of int, shape (n_corners,)
        The corners ahead.
    least, most : ndarray of int, shape (n, n_corners + 1)
        The slopes that are open once 0, 1, 2, … corners are passed.
    last : ndarray of int, shape (n,)
        The last cells they can reach.
    """

    cell: Integers
    output: Integers
    parent: Integers
    corner: Integers
    least: Integers
    most: Integers
    last: Integers

    def lowest_at(self, gates: Gates, cells: Integers, slope_bits: int) -> Integers:
        """Return the lowest output of each piece in some cells, shape (n, n_cells)."""
        run = (cells[None, :] - self.cell[:, None]) << gates.shift
        return self.output[:, None] + ((run * self.least[:, self._passed(cells)]) >> slope_bits)

    def slopes(self, row: int, gates: Gates, cell: int, below: int, slope_bits: int) -> tuple[int, int]:
        """Return the flattest and the steepest slope to a cell, with no output there above a given one."""
        run = (cell - int(self.cell[row])) << gates.shift
        if run == 0:
            return 0, 0
        highest = min(below, int(gates.high[cell]))
        steepest = (((highest - int(self.output[row]) + 1) << slope_bits) - 1) // run
        passed = int(self._passed(np.asarray(cell)))
        return int(self.least[row, passed]), min(int(self.most[row, passed]), steepest)

    def _passed(self, cells: Integers) -> Integers:
        return np.asarray(np.searchsorted(self.corner, cells, side="right"))


def fewest_pieces(tunnel: Tunnel, *, offset: int = 0) -> FreeKnots | None:
    """Return the free-knot table with the fewest pieces inside a tunnel, None when slopes do not fit.

    Parameters
    ----------
    tunnel : Tunnel
        The integers allowed in each cell.
    offset : int
        What is added to every output, so that two bytes hold the rest.
    """
    gates = Gates.of(tunnel)
    bound = Bound.of(gates)
    for spare in _SPARE:
        for slope_bits in _slope_bits_worth_trying(gates):
            path = _search(gates, bound, bound.fewest + spare, slope_bits)
            if path is not None:
                return _as_table(gates, path, slope_bits, offset, bound.fewest)
    return None


def _slope_bits_worth_trying(gates: Gates) -> list[int]:
    """Return numbers of binary places: the most, and those with which every slope fits two bytes."""
    steepest = gates.steepest()
    most = _MOST_SLOPE_BITS
    if steepest > _MOST_SLOPE / 2**_MOST_SLOPE_BITS:
        most = math.floor(math.log2(_MOST_SLOPE / steepest))
    fitting = range(most, max(most - _SLOPE_BITS_TO_SPARE, 0) - 1, -1)
    # pieces need not meet, so a step may be a gap where no slope is steep enough
    return list(dict.fromkeys((_MOST_SLOPE_BITS, *fitting)))


def _search(gates: Gates, bound: Bound, n: int, slope_bits: int) -> list[tuple[_Front, int]] | None:
    """Return at most ``n`` pieces from end to end as rows of fronts, None when there are none."""
    starts = np.arange(gates.low[0], gates.high[0] + 1)
    anchors = np.column_stack([np.zeros_like(starts), starts, np.zeros_like(starts)])
    fronts = [_front(gates, anchors, bound.reach[0], slope_bits)]
    while not (fronts[-1].last == gates.last).any():
        left = n - len(fronts)
        if left == 0:
            return None
        first = bound.need[left - 1] if left <= len(bound.need) else 0
        anchors = _onward(gates, fronts[-1], first, slope_bits)
        if not anchors.size:
            return None
        fronts.append(_front(gates, anchors, _beyond(bound, int(anchors[:, 0].max())), slope_bits))
        if not fronts[-1].cell.size:
            return None
    row = int(np.argmax(fronts[-1].last))
    path = []
    for front in reversed(fronts):
        path.append((front, row))
        row = int(front.parent[row])
    return path[::-1]


def _beyond(bound: Bound, cell: int) -> int:
    """Return the last cell that a piece can reach which starts no later than a given one."""
    pieces = bisect_left(bound.reach, cell)
    return bound.reach[min(pieces + 1, len(bound.reach) - 1)]


def _onward(gates: Gates, front: _Front, first: int, slope_bits: int) -> Integers:
    """Return the anchors of the pieces that may follow a front: cell, output, parent; shape (n, 3)."""
    far = int(front.last.max()) + 1
    near = max(first, int(front.cell.min()) + 1)
    spread = np.linspace(near, far, _PLACES_TRIED - _FAR_PLACES_TRIED).astype(np.int64)
    cells = np.unique(np.append(spread, np.arange(max(near, far - _FAR_PLACES_TRIED), far + 1)))
    cells = cells[cells >= near]
    lowest = np.maximum(front.lowest_at(gates, cells - 1, slope_bits), gates.low[cells])
    follows = (front.cell[:, None] < cells) & (cells <= front.last[:, None] + 1)
    lowest = np.where(follows, lowest, gates.high[cells] + 1)
    parent = lowest.argmin(axis=0)
    anchors = []
    for at, cell in enumerate(cells.tolist()):
        lowest_here, highest = int(lowest[parent[at], at]), int(gates.high[cell])
        step = max(1, (highest - lowest_here) // (_OUTPUTS_TRIED - 1))
        anchors += [(cell, output, int(parent[at])) for output in range(lowest_here, highest + 1, step)]
    return np.asarray(anchors, dtype=np.int64)


def _front(gates: Gates, anchors: Integers, reach: int, slope_bits: int) -> _Front:
    """Return the pieces with some anchors, those that reach farthest first."""
    cells, outputs, parents = anchors.T
    from_corner, to_corner = np.searchsorted(gates.corner, [int(cells.min()), reach], side="right")
    corner = gates.corner[from_corner:to_corner]
    run = (corner[None, :] - cells[:, None]) << gates.shift
    ahead = run > 0
    run = np.where(ahead, run, 1)
    least = -((-((gates.low[corner] - outputs[:, None]) << slope_bits)) // run)
    most = (((gates.high[corner] - outputs[:, None] + 1) << slope_bits) - 1) // run
    least = np.maximum.accumulate(np.where(ahead, np.maximum(least, 0), 0), axis=1)
    most = np.minimum.accumulate(np.where(ahead, np.minimum(most, _MOST_SLOPE), _MOST_SLOPE), axis=1)
    n_open = np.count_nonzero(least <= most, axis=1)  # both are monotone, so these are the first ones
    last = np.append(corner - 1, reach)[n_open]
    best = np.argsort(-last, kind="stable")[:_KEPT]
    best = best[last[best] >= cells[best]]
    return _Front(
        cell=cells[best],
        output=outputs[best],
        parent=parents[best],
        corner=corner,
        least=np.column_stack([np.zeros_like(best), least[best]]),
        most=np.column_stack([np.full_like(best, _MOST_SLOPE), most[best]]),
        last=last[best],
    )


def _as_table(
    gates: Gates, path: list[tuple[_Front, int]], slope_bits: int, offset: int, fewest: int
) -> FreeKnots:
    """Return the table of a path, turned back the right way round."""
    anchors = [(int(front.cell[row]), int(front.output[row])) for front, row in path]
    ahead = [(cell - 1, output) for cell, output in anchors[1:]] + [(gates.last, int(gates.high[-1]))]
    slopes: list[int] = []
    for (front, row), (end, below) in zip(path, ahead, strict=True):
        flattest, steepest = front.slopes(row, gates, end, below, slope_bits)
        slopes.append((flattest + steepest) // 2)
    return FreeKnots(
        ends=tuple((gates.last - cell) << gates.shift for cell, _ in reversed(anchors)),
        at_ends=tuple(-output - offset for _, output in reversed(anchors)),
        slopes=tuple(reversed(slopes)),
        slope_bits=slope_bits,
        offset=offset,
        fewest=fewest,
    )
