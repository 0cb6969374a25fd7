"""Many readings drawn together: what a camera gives in thousands becomes a few dozen rows of known weight.

Gross slips are dropped first, row by row, against their nearest neighbours from the same side.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from gaugecore.calibration.observations import Bools, Floats, Observations
from gaugecore.calibration.stops import rows_on_plateau

#: Up to here every reading is weighed by itself.
MOST_SINGLE_ROWS = 64
_GROUPS_A_SIDE = 32
_NEIGHBOURS = 11
#: Parallax, a bent face: what no number of readings averages out. Common practice, no source.
_STAYS_DEG = 0.05
#: Share of the scatter that is the needle's own; the rest is reading. Common practice, no source.
_NEEDLE_SHARE = 0.6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grouped:
    """Rows drawn together.

    Attributes
    ----------
    seen : Observations
        The groups, as if each were a row.
    slipped, at_stop : ndarray of bool, shape (n,)
        Rows of the original that were dropped: slips, and rows that stood at a stop.
    foretold_deg : ndarray, shape (n,)
        What the neighbours say, for every original row.
    scatter_deg : float
        Robust scatter about that.
    needle_var : float
        The share of its square that is laid to the needle.
    command_range : tuple of float
        Ends of the commands of the rows that were kept.
    """

    seen: Observations
    slipped: Bools
    at_stop: Bools
    foretold_deg: Floats
    scatter_deg: float
    needle_var: float
    command_range: tuple[float, float]


def group_rows(seen: Observations, doubled: Bools) -> Grouped:
    """Return a large set of readings as at most some 64 weighed rows.

    Parameters
    ----------
    seen : Observations
        All rows.
    doubled : ndarray of bool, shape (n,)
        Rows to leave out because they repeat the one before by mistake.
    """
    foretold = _by_neighbours(seen)
    miss = seen.angle_deg - foretold
    scatter = max(1.4826 * float(np.median(np.abs(miss))), seen.resolution_deg / 3.0, 1e-3)
    at_stop = rows_on_plateau(seen, scatter) & ~seen.kept
    if at_stop.any():
        # the curve bent to follow the plateau: what is left is foretold anew
        foretold = foretold.copy()
        foretold[~at_stop] = _by_neighbours(seen.only(~at_stop))
        miss = seen.angle_deg - foretold
    far = np.abs(miss) > np.maximum(5.0 * scatter, 1.5 * seen.resolution_deg)
    slipped = far & ~at_stop & ~doubled & ~seen.kept
    good = ~slipped & ~at_stop & ~doubled
    groups = [
        rows
        for side in (-1.0, 0.0, 1.0)
        for jogged in (False, True)
        for rows in _bins(seen, (seen.side == side) & (seen.jogged == jogged) & good)
    ]
    order = sorted(groups, key=lambda rows: float(seen.row[rows].mean()))
    return Grouped(
        seen=_as_rows(seen, order),
        slipped=slipped,
        at_stop=at_stop,
        foretold_deg=foretold,
        scatter_deg=scatter,
        needle_var=_NEEDLE_SHARE * max(scatter**2 - seen.resolution_deg**2 / 12.0, 0.0),
        command_range=(float(seen.command[good].min()), float(seen.command[good].max())),
    )


def _by_neighbours(seen: Observations) -> Floats:
    """Return for every row the median of its neighbours' distance from a robust curve, added to the curve."""
    x = np.interp(seen.command, [seen.command.min(), seen.command.max()], [-1.0, 1.0])
    degree = int(min(7, max(1, np.unique(seen.command).size // 3)))
    terms = np.column_stack([np.polynomial.chebyshev.chebvander(x, degree), seen.side / 2.0])
    weight = np.ones(seen.size)
    for _ in range(15):
        root = np.sqrt(weight)[:, None]
        solution = np.linalg.lstsq(terms * root, seen.angle_deg * root[:, 0], rcond=None)[0]
        miss = seen.angle_deg - terms @ solution
        spread = max(1.4826 * float(np.median(np.abs(miss))), 0.05)
        weight = 1.0 / (1.0 + (miss / (2.5 * spread)) ** 4)
    local = np.zeros(seen.size)
    for side in (-1.0, 0.0, 1.0):
        rows = np.flatnonzero(seen.side == side)
        if rows.size:
            along = rows[np.argsort(seen.command[rows], kind="stable")]
            reach = min(_NEIGHBOURS // 2, (along.size - 1) // 2)
            padded = np.pad(miss[along], reach, mode="edge")
            local[along] = np.median(np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1), axis=1)
    return np.asarray(terms @ solution + local)


def _bins(seen: Observations, chosen: Bools) -> list[np.ndarray]:
    """Return index sets of neighbouring commands; equal commands stay together."""
    rows = np.flatnonzero(chosen)
    if rows.size == 0:
        return []
    marks, place, count = np.unique(seen.command[rows], return_inverse=True, return_counts=True)
    if marks.size <= _GROUPS_A_SIDE:
        number = place
    else:
        before = np.cumsum(count) - count
        number = (before * _GROUPS_A_SIDE // rows.size)[place]
    return [rows[number == k] for k in np.unique(number)]


def _as_rows(seen: Observations, groups: list[np.ndarray]) -> Observations:
    count = np.array([rows.size for rows in groups], dtype=np.float64)
    # one command read over and over to the same step keeps its rounding: averaging does not remove it
    stays = [
        seen.resolution_deg**2 / 12.0 if rows.size > 1 and float(np.ptp(seen.angle_deg[rows])) == 0 else 0.0
        for rows in groups
    ]
    mean = {
        name: np.array([float(getattr(seen, name)[rows].mean()) for rows in groups])
        for name in ("command", "angle_deg")
    }
    first = np.array([rows[0] for rows in groups])
    return replace(
        seen.only(np.zeros(seen.size, dtype=np.bool_)),
        row=seen.row[first],
        command=mean["command"],
        angle_deg=mean["angle_deg"],
        side=seen.side[first],
        cycle=seen.cycle[first],
        jogged=seen.jogged[first],
        kept=np.array([bool(seen.kept[rows].any()) for rows in groups], dtype=np.bool_),
        count=count,
        spread_var=np.where(count > 1, np.array(stays) + _STAYS_DEG**2, 0.0),
    )
