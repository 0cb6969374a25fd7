"""Finding the free-knot table: a path of whole numbers through the tunnel with the fewest pieces.

The lower bound comes from `links.farthest_gates`, taken from both ends: after j pieces a knot can be neither
beyond what j links reach, nor short of where the links that are left can still reach the other end. Between
these two, knots on whole places and outputs are searched depth first with exact integer arithmetic. A path
with as many pieces as the bound is proven to be minimal.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from gaugecore.table.knots import FreeKnots
from gaugecore.table.links import farthest_gates
from gaugecore.table.places import Integers
from gaugecore.table.target import Tunnel

_MOST_SLOPE = 0xFFFF
#: Expansions before a number of pieces is given up as not reachable in whole numbers.
_PATIENCE = 3000
#: Pieces beyond the proven bound that are tried before a coarser slope.
_MOST_EXTRA = 3


@dataclass(frozen=True, slots=True, eq=False)
class _Corners:
    """The gates that matter to a rising line, counted from the high end and upside down.

    Seen that way, a piece runs from its anchor as ``anchor + (distance * slope >> bits)``, which rounds down.
    """

    place: Integers
    low: Integers
    high: Integers


@dataclass(frozen=True, slots=True)
class _Knot:
    corner: int
    output: int
    slope: int = 0  # of the piece that led here


def fewest_pieces(tunnel: Tunnel, *, offset: int = 0) -> FreeKnots | None:
    """Return the free-knot table with the fewest pieces inside a tunnel, None when slopes do not fit.

    Parameters
    ----------
    tunnel : Tunnel
        The integers allowed in each cell.
    offset : int
        What is added to every output, so that two bytes hold the rest.
    """
    corners = _corners(tunnel)
    last = corners.place.size - 1
    reach = _forward(corners)
    back = farthest_gates(
        (corners.place[-1] - corners.place[::-1]).tolist(),
        (-corners.high[::-1] - 1).tolist(),
        (-corners.low[::-1]).tolist(),
    )
    fewest = len(reach)
    need = [last - gate for gate in back]  # need[j - 1]: from here on j links reach the end
    for slope_bits in range(16, 7, -1):
        for n in range(fewest, fewest + _MOST_EXTRA + 1):
            path = _search(corners, reach, need, n, slope_bits)
            if path is not None:
                return _as_table(corners, path, slope_bits, offset, fewest)
    return None


def fewest_links(tunnel: Tunnel) -> int:
    """Return the fewest pieces that any rising path through the tunnel can have, its bends wherever it likes.

    Notes
    -----
    Rounding is inside the proof: an output of ``high`` is any real height below ``high + 1``.
    """
    return len(_forward(_corners(tunnel)))


def _forward(corners: _Corners) -> list[int]:
    return farthest_gates(corners.place.tolist(), corners.low.tolist(), (corners.high + 1).tolist())


def _corners(tunnel: Tunnel) -> _Corners:
    place = tunnel.places.all_places()
    place = place[-1] - place[::-1]
    low, high = -tunnel.high[::-1], -tunnel.low[::-1]
    # a rising line is held down by the last gate before the upper wall steps up, held up by the first gate
    # after the lower wall has stepped up; all others follow
    matter = np.zeros(place.size, dtype=bool)
    matter[0] = matter[-1] = True
    matter[1:] |= np.diff(low) > 0
    matter[:-1] |= np.diff(high) > 0
    return _Corners(place[matter], low[matter], high[matter])


def _search(
    corners: _Corners, reach: list[int], need: list[int], n: int, slope_bits: int
) -> list[_Knot] | None:
    """Return the knots of a path with ``n`` pieces, anchor first, None when patience ends."""
    last = corners.place.size - 1
    starts = iter([_Knot(0, output) for output in _middle_first(int(corners.low[0]), int(corners.high[0]))])
    levels: list[Iterator[_Knot]] = [starts]
    path: list[_Knot] = []
    dead: set[tuple[int, int, int]] = set()
    patience = _PATIENCE
    while levels:
        knot = next(levels[-1], None)
        if knot is None:
            levels.pop()
            if path:
                path.pop()
            continue
        level = len(levels) - 1  # pieces behind this knot
        if knot.corner == last:
            return [*path, knot]
        if level == n or (level, knot.corner, knot.output) in dead:
            continue
        dead.add((level, knot.corner, knot.output))
        patience -= 1
        if patience < 0:
            return None
        left = n - level - 1
        first = last if left == 0 else (need[left - 1] if left <= len(need) else 0)
        bound = reach[level] if level < len(reach) else last
        path.append(knot)
        levels.append(_onward(corners, knot, max(first, knot.corner + 1), bound, slope_bits))
    return None


def _onward(corners: _Corners, knot: _Knot, first: int, bound: int, slope_bits: int) -> Iterator[_Knot]:
    """Yield the knots that one piece can lead to, the middle of the choice first."""
    if first > bound:
        return
    there = slice(knot.corner + 1, bound + 1)
    run = corners.place[there] - corners.place[knot.corner]
    least = -((-((corners.low[there] - knot.output) << slope_bits)) // run)
    most = (((corners.high[there] - knot.output + 1) << slope_bits) - 1) // run
    least = np.maximum.accumulate(np.maximum(least, 0))
    most = np.minimum.accumulate(np.minimum(most, _MOST_SLOPE))
    n_open = int(np.count_nonzero(least <= most))  # both are monotone, so these are the first ones
    for corner in _middle_first(first, knot.corner + n_open):
        at = corner - knot.corner - 1
        a, b, distance = int(least[at]), int(most[at]), int(run[at])
        lowest = knot.output + (a * distance >> slope_bits)
        highest = knot.output + (b * distance >> slope_bits)
        for output in _middle_first(lowest, highest):
            rise = output - knot.output
            from_slope = max(a, -(-(rise << slope_bits) // distance))
            to_slope = min(b, (((rise + 1) << slope_bits) - 1) // distance)
            if from_slope <= to_slope:
                yield _Knot(corner, output, (from_slope + to_slope) // 2)


def _middle_first(low: int, high: int) -> Iterator[int]:
    """Yield the integers of a range from its middle outward."""
    middle = (low + high) // 2
    for step in range(high - low + 1):
        at = middle + ((step + 1) // 2 if step % 2 else -(step // 2))
        if low <= at <= high:
            yield at


def _as_table(corners: _Corners, path: list[_Knot], slope_bits: int, offset: int, fewest: int) -> FreeKnots:
    """Return the table of a path, turned back the right way round."""
    highest_place = int(corners.place[-1])
    anchors, ends = path[:-1], path[1:]
    return FreeKnots(
        ends=tuple(highest_place - int(corners.place[knot.corner]) for knot in reversed(anchors)),
        at_ends=tuple(-knot.output - offset for knot in reversed(anchors)),
        slopes=tuple(knot.slope for knot in reversed(ends)),
        slope_bits=slope_bits,
        offset=offset,
        fewest=fewest,
    )
