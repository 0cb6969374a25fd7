"""From an instrument with a fit to the table its board stores: docs/line-protocol.md section 5.

The board joins knots by straight lines in whole numbers. Here as many knots are taken as the bound on the
error asks for, each piece as long as it can be; the error is then found over every raw value, rounding
included.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from gaugecore.board.stored_table import MOST_HYSTERESIS, Branch, StoredTable
from gaugecore.calibration.readings import Direction
from gaugecore.errors import TableError
from gaugecore.panel.document import Instrument
from gaugecore.panel.raw_values import angles_of_raw
from gaugecore.panel.sendable import check_arc, counts_per_command, fit_in_force, sendable_commands
from gaugecore.table.from_fit import default_hysteresis

_LAST_RAW = 0xFFFF
_MOST_KNOTS = 255
_HEAD_BYTES, _KNOT_BYTES = 4, 4
#: Each time a table does not fit, this much more error is allowed.
_EASED = 1.25

Whole = NDArray[np.int64]
Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class BoardTable:
    """A table for a slot of the board.

    Attributes
    ----------
    stored : StoredTable
        What is uploaded.
    worst_error : float
        Largest distance from the fit over all raw values, in commands (µs or steps).
    """

    stored: StoredTable
    worst_error: float


def board_table(
    instrument: Instrument,
    *,
    max_error: float = 0.5,
    capacity: int = 2048,
    clamp: bool = False,
    one_map: bool = False,
    hysteresis: int | None = None,
) -> BoardTable:
    """Return the table of an instrument for its board.

    Parameters
    ----------
    instrument : Instrument
        With a fit.
    max_error : float
        Largest error against the fit, in µs or steps; eased when the table would not fit the slot.
    capacity : int
        Bytes the slot takes.
    clamp : bool
        Whether the needle stops at the ends of the arc it can be sent to; else a scale that reaches beyond
        them is refused.
    one_map : bool
        Whether one map through the middle serves both directions.
    hysteresis : int or None
        How far the raw value must turn back before the other direction's branch is used; None: as in an
        exported table, 1/256 of the raw range.

    Raises
    ------
    TableError
        If the raw range or the hysteresis is none the board can take, or if no table fits.
    FitError
        If there is no fit for its movement, or the scale reaches beyond what it may be sent.
    """
    fit_in_force(instrument)  # refused before anything else is looked at
    hysteresis = _kept_hysteresis(instrument, hysteresis)
    if not clamp:
        check_arc(instrument)
    unit, (raws, targets) = counts_per_command(instrument), _targets(instrument, one_map=one_map)
    bound = max(max_error * unit, 0.6)  # below half a unit no whole number will do
    while bound < 0.05 * np.ptp(targets[0]) + 1.0:
        branches = [_branch(raws, target, bound) for target in targets]
        size = _HEAD_BYTES + _KNOT_BYTES * sum(map(len, branches))
        if size <= capacity and max(map(len, branches)) <= _MOST_KNOTS:
            stored = StoredTable(branches[0], branches[1] if len(branches) > 1 else (), hysteresis)
            worst = max(_error(raws, t, branch) for t, branch in zip(targets, branches, strict=True))
            return BoardTable(stored, worst / unit)
        bound *= _EASED
    raise TableError(
        "no table of this dial fits the board",
        where=f"instruments.{instrument.id}",
        accepted=f"a curve that {capacity} bytes can hold",
    )


def _kept_hysteresis(instrument: Instrument, wanted: int | None) -> int:
    """Return the hysteresis to store; refuse raw values, or a hysteresis, that no board can keep."""
    where = f"instruments.{instrument.id}"
    low, high = instrument.raw.low, instrument.raw.high
    if low < 0 or high > _LAST_RAW:
        raise TableError(
            "the board takes raw values of 16 bits",
            where=f"{where}.raw",
            found=f"{low} to {high}",
            accepted=f"a range within 0 to {_LAST_RAW}",
        )
    hysteresis = default_hysteresis(high - low) if wanted is None else wanted
    if not 0 <= hysteresis <= MOST_HYSTERESIS:
        raise TableError(
            "the board cannot keep this hysteresis",
            where=where,
            found=hysteresis,
            accepted=f"0 to {MOST_HYSTERESIS}",
        )
    return hysteresis


def _targets(instrument: Instrument, *, one_map: bool) -> tuple[Whole, list[Real]]:
    """Return all raw values, and the exact commands for rising and for falling ones, in board counts.

    One map needs no second branch: the first one serves both ways then, and may have twice the knots.
    """
    fit, ends = fit_in_force(instrument), sendable_commands(instrument)
    raws = np.arange(instrument.raw.low, instrument.raw.high + 1, dtype=np.int64)
    angles = angles_of_raw(instrument, raws)
    sides = [Direction.UP, Direction.DOWN] if angles[-1] >= angles[0] else [Direction.DOWN, Direction.UP]
    if one_map:
        sides = [Direction.UNKNOWN]
    unit = counts_per_command(instrument)
    return raws, [unit * np.clip(fit.commands(angles, side, clamp=True), *ends) for side in sides]


def _branch(raws: Whole, target: Real, bound: float) -> Branch:
    """Return knots on the curve; each piece reaches as far as the bound lets it."""
    nearest = np.floor(target + 0.5).astype(np.int64)
    places, last = [0], len(raws) - 1
    while places[-1] < last:
        start = places[-1]
        near, far = start + 1, min(start + 2, last)
        while far < last and _fits(raws, target, nearest, start, far, bound):
            near, far = far, min(start + 2 * (far - start), last)
        if _fits(raws, target, nearest, start, far, bound):
            near = far
        while far - near > 1:
            middle = (near + far) // 2
            if _fits(raws, target, nearest, start, middle, bound):
                near = middle
            else:
                far = middle
        places.append(near)
    return tuple((int(raws[place]), int(nearest[place])) for place in places)


def _fits(raws: Whole, target: Real, nearest: Whole, start: int, end: int, bound: float) -> bool:
    made = _between(raws[start : end + 1], nearest[start], nearest[end])
    return bool(np.abs(made - target[start : end + 1]).max() <= bound)


def _between(raws: Whole, first: np.int64, last: np.int64) -> Whole:
    """Return what the board computes along one piece, bit for bit."""
    length = raws[-1] - raws[0]
    step = ((raws - raws[0]) * abs(last - first) + length // 2) // length
    return np.asarray(first + step if last > first else first - step)


def _error(raws: Whole, target: Real, branch: Branch) -> float:
    worst = 0.0
    places = np.searchsorted(raws, [raw for raw, _ in branch])
    for piece, (start, end) in enumerate(pairwise(places)):
        first, last = np.int64(branch[piece][1]), np.int64(branch[piece + 1][1])
        made = _between(raws[start : end + 1], first, last)
        worst = max(worst, float(np.abs(made - target[start : end + 1]).max()))
    return worst
