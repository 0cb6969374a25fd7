"""Finding the free-knot table: the fewest pieces, in whole numbers, that stay inside the tunnel.

The proven bound is taken from both ends, see `gates`: a piece that has j before it can start neither beyond
what j pieces reach, nor short of where the pieces that are left can still reach the other end. Within that,
pieces anchored on whole places and outputs are searched with exact integer arithmetic, those that reach
farthest first. As many pieces as the bound are proven to be minimal.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
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
#: Pieces looked at before the bound is given up as not reachable in whole numbers.
_PATIENCE = 200
#: Anchors compared at the far end of a piece, by place and by output.
_PLACES_TRIED = 24
_OUTPUTS_TRIED = 7


@dataclass(frozen=True, slots=True, eq=False)
class _Piece:
    """A piece from its anchor on, its slope still open.

    Attributes
    ----------
    cell, output : int
        The anchor.
    corner : ndarray of int
        The corners ahead.
    least, most : ndarray of int
        The slopes that are open once 0, 1, 2, … corners are passed.
    last : int
        The last cell it can reach.
    """

    cell: int
    output: int
    corner: Integers
    least: Integers
    most: Integers
    last: int

    def lowest_at(self, gates: Gates, cell: int, slope_bits: int) -> int:
        """Return the lowest output it can have in a cell."""
        run = (cell - self.cell) << gates.shift
        return self.output + (run * int(self.least[self._passed(cell)]) >> slope_bits)

    def slopes(self, gates: Gates, cell: int, below: int, slope_bits: int) -> tuple[int, int]:
        """Return the flattest and the steepest slope to a cell, with no output there above a given one."""
        run = (cell - self.cell) << gates.shift
        if run == 0:
            return 0, 0
        highest = min(below, int(gates.high[cell]))
        steepest = (((highest - self.output + 1) << slope_bits) - 1) // run
        passed = self._passed(cell)
        return int(self.least[passed]), min(int(self.most[passed]), steepest)

    def _passed(self, cell: int) -> int:
        return int(np.searchsorted(self.corner, cell, side="right"))


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
    most = _most_slope_bits(gates)
    for slope_bits in range(most, max(most - _SLOPE_BITS_TO_SPARE, 0) - 1, -1):
        for spare in (
            0,
            1,
            2,
            3,
            gates.last,
        ):  # the last one is as good as no bound: the first path found is taken
            path = _search(gates, bound, bound.fewest + spare, slope_bits)
            if path is not None:
                return _as_table(gates, path, slope_bits, offset, bound.fewest)
    return None


def _most_slope_bits(gates: Gates) -> int:
    """Return the most binary places with which the steepest slope that must occur fits two bytes."""
    steepest = gates.steepest()
    if steepest <= _MOST_SLOPE / 2**_MOST_SLOPE_BITS:
        return _MOST_SLOPE_BITS
    return math.floor(math.log2(_MOST_SLOPE / steepest))


def _search(gates: Gates, bound: Bound, n: int, slope_bits: int) -> list[_Piece] | None:
    """Return at most ``n`` pieces from end to end, None when there are none or patience ends."""
    starts = np.arange(gates.low[0], gates.high[0] + 1)
    levels = [_farthest_first(gates, np.zeros_like(starts), starts, bound.reach[0], slope_bits)]
    path: list[_Piece] = []
    looked_at = 0
    while levels and looked_at < _PATIENCE:
        piece = next(levels[-1], None)
        if piece is None:
            levels.pop()
            if path:
                path.pop()
            continue
        looked_at += 1
        if piece.last == gates.last:
            return [*path, piece]
        left = n - len(levels)
        if left == 0:
            continue
        first = bound.need[left - 1] if left <= len(bound.need) else 0
        reach = bound.reach[len(levels)] if len(levels) < len(bound.reach) else gates.last
        path.append(piece)
        levels.append(_onward(gates, piece, (first, reach), slope_bits))
    return None


def _onward(gates: Gates, piece: _Piece, window: tuple[int, int], slope_bits: int) -> Iterator[_Piece]:
    """Yield the pieces that may follow one, anchored and ending within a window."""
    first, reach = window
    far = piece.last + 1
    cells: list[int] = []
    outputs: list[int] = []
    for cell in range(far, max(far - _PLACES_TRIED, piece.cell, first - 1), -1):
        lowest = max(int(gates.low[cell]), piece.lowest_at(gates, cell - 1, slope_bits))
        highest = int(gates.high[cell])
        step = max(1, (highest - lowest) // (_OUTPUTS_TRIED - 1))
        tried = range(lowest, highest + 1, step)
        cells += [cell] * len(tried)
        outputs += tried
    if cells:
        yield from _farthest_first(gates, np.asarray(cells), np.asarray(outputs), reach, slope_bits)


def _farthest_first(
    gates: Gates, cells: Integers, outputs: Integers, reach: int, slope_bits: int
) -> Iterator[_Piece]:
    """Yield the pieces with some anchors, those that reach farthest first."""
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
    for row in np.argsort(-n_open, kind="stable").tolist():
        n = int(n_open[row])
        last = reach if n == corner.size else int(corner[n]) - 1
        if last >= cells[row]:
            open_to = np.append(0, least[row]), np.append(_MOST_SLOPE, most[row])
            yield _Piece(int(cells[row]), int(outputs[row]), corner, *open_to, last)


def _as_table(gates: Gates, path: list[_Piece], slope_bits: int, offset: int, fewest: int) -> FreeKnots:
    """Return the table of a path, turned back the right way round."""
    slopes: list[int] = []
    for piece, after in zip(path, [*path[1:], None], strict=True):
        end, below = (gates.last, int(gates.high[-1])) if after is None else (after.cell - 1, after.output)
        flattest, steepest = piece.slopes(gates, end, below, slope_bits)
        slopes.append((flattest + steepest) // 2)
    return FreeKnots(
        ends=tuple((gates.last - piece.cell) << gates.shift for piece in reversed(path)),
        at_ends=tuple(-piece.output - offset for piece in reversed(path)),
        slopes=tuple(reversed(slopes)),
        slope_bits=slope_bits,
        offset=offset,
        fewest=fewest,
    )
