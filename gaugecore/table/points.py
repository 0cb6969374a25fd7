"""The readable form of a table: the fewest points that, joined by straight lines, keep the same bound.

A point is a raw value and a command, both whole. Between two points the command is the straight line's,
rounded to the nearest whole, halves up. This is for reading, for copying into a sketch by hand, and for
comparing; the table itself computes otherwise and may differ from it, within the bound.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

import numpy as np

from gaugecore.table.gates import Bound, Gates
from gaugecore.table.places import Integers
from gaugecore.table.target import Reals, Target, Tunnel

#: Points kept at each step of the search, those that see farthest.
_KEPT = 40
#: Pieces beyond the proven bound, and places compared for each next point, in the order they are tried.
_ATTEMPTS = (
    (0, 100),
    (0, 400),
    (1, 100),
    (1, 400),
    (2, 100),
    (3, 100),
    (5, 100),
    (9, 100),
    (17, 100),
    (33, 100),
)
#: Outputs compared at each place.
_OUTPUTS_TRIED = 9
#: Room for the last bits of quotients; two different slopes between whole numbers lie farther apart.
_ROUNDING = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """Points joined by straight lines.

    Attributes
    ----------
    raw : tuple of int
        Raw values, in the order of rising commands; the first and the last are the ends of the raw range.
        Where cells hold several raw values, each stands for its cell.
    command : tuple of int
        Commands there, in output units, never falling.
    fewest : int
        The fewest pieces any path inside the bound can have, met or not: a proven lower bound.
    worst_error : float
        Largest distance from the exact commands, rounding included, in output units.
    """

    raw: tuple[int, ...]
    command: tuple[int, ...]
    fewest: int
    worst_error: float

    @property
    def pieces(self) -> int:
        """Return the number of straight pieces."""
        return len(self.raw) - 1

    @property
    def proven(self) -> bool:
        """Return whether no list can be shorter."""
        return self.pieces == self.fewest

    def rising(self) -> tuple[tuple[int, int], ...]:
        """Return the points as (raw value, command), raw values rising."""
        return tuple(sorted(zip(self.raw, self.command, strict=True)))


def fewest_points(target: Target, tunnel: Tunnel) -> Points:
    """Return the shortest list of points inside a tunnel that the search finds.

    Parameters
    ----------
    target : Target
        The exact commands.
    tunnel : Tunnel
        The integers allowed in each cell.

    Notes
    -----
    A minimum-link path: from every point kept, all points in sight are reached with one piece more; of these,
    the ones that see farthest are kept. `Points.proven` tells where the proven bound is reached.
    """
    sight = _Sight.of(tunnel)
    cells, commands = _path(sight)
    outputs = joined(cells, commands, np.arange(tunnel.low.size))
    assert bool(((outputs >= tunnel.low) & (outputs <= tunnel.high)).all()), "the points leave the tunnel"
    raw = target.places.cell_ends()[0][cells]
    return Points(
        raw=tuple(raw.tolist()),
        command=tuple(commands.tolist()),
        fewest=len(sight.reach),
        worst_error=float(target.errors(outputs).max()),
    )


def joined(at: Integers, command: Integers, wanted: Integers) -> Integers:
    """Return the commands on the lines between points, rounded to the nearest whole, halves up.

    Parameters
    ----------
    at, command : ndarray of int, shape (n,)
        The points, places rising.
    wanted : ndarray of int, shape (m,)
        Places between the first and the last.
    """
    piece = np.clip(np.searchsorted(at, wanted, side="right") - 1, 0, at.size - 2)
    run, rise = np.diff(at)[piece], np.diff(command)[piece]
    return np.asarray(command[piece] + (2 * (wanted - at[piece]) * rise + run) // (2 * run))


@dataclass(frozen=True, slots=True, eq=False)
class _Sight:
    """The gates that matter to a line that does not fall, and how far the proven bound lets pieces see.

    Attributes
    ----------
    tunnel : Tunnel
        All gates.
    corner : ndarray of int
        The cells whose gates matter: where the lower wall has stepped up, where the upper wall is about to.
    reach : list of int
        The last cell that 1, 2, … pieces reach.
    need : list of int
        The first cell from which 1, 2, … pieces reach the end.
    """

    tunnel: Tunnel
    corner: Integers
    reach: list[int]
    need: list[int]

    @classmethod
    def of(cls, tunnel: Tunnel) -> _Sight:
        # the gates of a tunnel are counted from its high end and upside down
        gates = Gates.of(tunnel)
        bound = Bound.of(gates)
        corner = gates.last - gates.corner[::-1]
        return cls(
            tunnel, corner, *([gates.last - cell for cell in cells] for cells in (bound.need, bound.reach))
        )

    @property
    def last(self) -> int:
        return self.tunnel.low.size - 1

    def beyond(self, cell: int) -> int:
        """Return the last cell that a piece can reach which starts no later than a given one."""
        pieces = bisect_left(self.reach, cell)
        return self.reach[min(pieces + 1, len(self.reach) - 1)]

    def slopes(self, cell: Integers, output: Integers, until: int) -> tuple[Integers, Reals, Reals]:
        """Return the corners up to a cell, and the slopes open from each point once they are passed."""
        first, end = np.searchsorted(self.corner, [int(cell.min()) + 1, until + 1])
        corner = self.corner[first:end]
        run = (corner[None, :] - cell[:, None]).astype(np.float64)
        ahead = run > 0
        run = np.where(ahead, run, 1.0)
        least = (self.tunnel.low[corner] - 0.5 - output[:, None]) / run
        most = (self.tunnel.high[corner] + 0.5 - output[:, None]) / run
        least = np.maximum.accumulate(np.where(ahead, np.maximum(least, 0.0), 0.0), axis=1)
        most = np.minimum.accumulate(np.where(ahead, most, np.inf), axis=1)
        return corner, least, most


@dataclass(frozen=True, slots=True, eq=False)
class _Front:
    """The points that some number of pieces reach, and how they were reached.

    Attributes
    ----------
    cell, output : ndarray of int, shape (n,)
        The points.
    parent : ndarray of int, shape (n,)
        The points before them, in the front before.
    """

    cell: Integers
    output: Integers
    parent: Integers


def _path(sight: _Sight) -> tuple[Integers, Integers]:
    """Return the cells and outputs of the shortest path found."""
    fewest = len(sight.reach)
    for spare, places_tried in _ATTEMPTS:
        fronts = _fronts(sight, fewest + spare, places_tried)
        if fronts:
            return _walk_back(fronts)
    return _walk_back(_fronts(sight, sight.last, _ATTEMPTS[-1][1]))  # from cell to cell there is always a way


def _fronts(sight: _Sight, n: int, places_tried: int) -> list[_Front]:
    """Return the fronts of at most ``n`` pieces from end to end, none when there is no such path."""
    starts = np.arange(sight.tunnel.low[0], sight.tunnel.high[0] + 1)
    front = _seeing_farthest(sight, _Front(np.zeros_like(starts), starts, np.zeros_like(starts)))
    fronts = [front]
    while len(fronts) <= n:
        left = n - len(fronts)
        nearest = sight.last if left == 0 else sight.need[left - 1] if left <= len(sight.need) else 0
        front = _onward(sight, front, nearest, places_tried)
        if front.cell.size == 0:
            return []
        fronts.append(front)
        if (front.cell == sight.last).any():
            return fronts
        front = fronts[-1] = _seeing_farthest(sight, front)
    return []


def _onward(sight: _Sight, front: _Front, nearest: int, places_tried: int) -> _Front:
    """Return the points in sight of a front, no nearer than a given cell."""
    until = sight.beyond(int(front.cell.max()))
    corner, least, most = sight.slopes(front.cell, front.output, until)
    n_open = np.count_nonzero(least < most - _ROUNDING, axis=1)
    farthest = np.where(n_open == corner.size, until, np.append(corner, until)[n_open] - 1)
    far = int(farthest.max())
    near = max(nearest, int(front.cell.min()) + 1)
    if near > far:
        return _Front(*(np.empty(0, dtype=np.int64),) * 3)
    cells = _places(near, far, places_tried, np.concatenate([farthest, front.cell + 1]))
    passed = np.searchsorted(corner, cells, side="right")
    flat, steep = (
        np.column_stack([np.full(front.cell.size, end), open_to])[:, passed]
        for end, open_to in ((0.0, least), (np.inf, most))
    )
    run = cells[None, :] - front.cell[:, None]
    from_output = front.output[:, None]
    with np.errstate(invalid="ignore"):
        lowest = np.ceil(from_output + flat * run - _ROUNDING)
        highest = np.ceil(np.where(run > 0, from_output + steep * run, -np.inf) - 1e-9) - 1
    lowest = np.maximum(lowest, sight.tunnel.low[cells])
    highest = np.minimum(highest, sight.tunnel.high[cells])
    highest = np.where((run > 0) & (cells[None, :] <= farthest[:, None]), highest, lowest - 1)
    return _listed(cells, lowest, highest)


def _places(near: int, far: int, count: int, also: Integers) -> Integers:
    """Return places to compare: half of them spread, half next to the far end, and some more; rising."""
    spread = np.linspace(near, far, count // 2).astype(np.int64)
    cells = np.unique(np.concatenate([spread, np.arange(far + 1 - count // 2, far + 1), also]))
    return cells[(near <= cells) & (cells <= far)]


def _listed(cells: Integers, lowest: Reals, highest: Reals) -> _Front:
    """Return the points between lowest and highest outputs, shape (n_parents, n_cells), each once."""
    found: list[Integers] = []
    base = lowest.min(axis=0)
    step = np.maximum(1, (highest.max(axis=0) - base) // (_OUTPUTS_TRIED - 1))
    for i in range(_OUTPUTS_TRIED + 1):
        output = base + i * step
        inside = (lowest <= output) & (output <= highest)
        seen = inside.any(axis=0)
        found.append(
            np.column_stack([cells[seen], output[seen].astype(np.int64), inside.argmax(axis=0)[seen]])
        )
    every = np.concatenate(found)
    return _Front(every[:, 0], every[:, 1], every[:, 2])


def _seeing_farthest(sight: _Sight, front: _Front) -> _Front:
    """Return the points of a front that see farthest."""
    corner, least, most = sight.slopes(front.cell, front.output, sight.beyond(int(front.cell.max())))
    n_open = np.count_nonzero(least < most - _ROUNDING, axis=1)
    room = (most - least)[np.arange(n_open.size), np.maximum(n_open - 1, 0)] if corner.size else n_open
    best = np.lexsort((-room, -n_open))[:_KEPT]
    return _Front(front.cell[best], front.output[best], front.parent[best])


def _walk_back(fronts: list[_Front]) -> tuple[Integers, Integers]:
    """Return the points that led to the last cell."""
    last = fronts[-1]
    at = int(np.argmax(last.cell))
    cells, outputs = [], []
    for front in reversed(fronts):
        cells.append(int(front.cell[at]))
        outputs.append(int(front.output[at]))
        at = int(front.parent[at])
    return np.asarray(cells[::-1]), np.asarray(outputs[::-1])
