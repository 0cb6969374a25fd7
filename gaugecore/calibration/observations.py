"""Readings as columns of numbers, with what their order and their digits tell.

Two things are read off the rows before any fitting: the direction of approach where it was not noted, and the
resolution the angles were read to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gaugecore.calibration.readings import Direction, Held, Reading

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

#: Steps people and instruments read angles in, coarse to fine. Finer than the last counts as exact.
RESOLUTIONS_DEG = (10.0, 5.0, 2.5, 2.0, 1.0, 0.5, 0.25, 0.2, 0.1, 0.05, 0.02, 0.01)
#: A slip of the pen may break the pattern in a few rows.
_SHARE_ON_STEP = 0.93


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Observations:
    """The readings that take part, column by column; all of shape (n,).

    Attributes
    ----------
    row : ndarray of int
        Row number in the readings, from 1.
    command, angle_deg : ndarray
        As read.
    side : ndarray
        +1 arrived with falling dial angle (from above), -1 with rising (from below), 0 unknown.
    cycle : ndarray of int
        Cycle number, 0 where none is given.
    jogged : ndarray of bool
        True where the needle was put on a mark and the command noted.
    resolution_deg : float
        Step the angles were read to; 0 when no step shows.
    sense : float
        +1 when the dial angle rises with the command, -1 when it falls.
    """

    row: Ints
    command: Floats
    angle_deg: Floats
    side: Floats
    cycle: Ints
    jogged: Bools
    resolution_deg: float
    sense: float

    def only(self, keep: Bools) -> Observations:
        """Return the rows where ``keep`` is true."""
        return replace(
            self,
            row=self.row[keep],
            command=self.command[keep],
            angle_deg=self.angle_deg[keep],
            side=self.side[keep],
            cycle=self.cycle[keep],
            jogged=self.jogged[keep],
        )

    @property
    def size(self) -> int:
        """Return how many rows take part."""
        return int(self.row.size)


_SIDE = {Direction.UP: -1.0, Direction.DOWN: 1.0, Direction.UNKNOWN: 0.0}


def observe(readings: Sequence[Reading]) -> Observations:
    """Return the readings that count, as columns; rows the user has excluded are left out."""
    rows = [i for i, reading in enumerate(readings) if not reading.excluded]
    used = [readings[i] for i in rows]
    command = np.array([r.command for r in used], dtype=np.float64)
    angle = np.array([r.angle_deg for r in used], dtype=np.float64)
    jogged = np.array([r.held is Held.ANGLE for r in used], dtype=np.bool_)
    read = angle[~jogged] if (~jogged).any() else np.empty(0)
    return Observations(
        row=np.array(rows, dtype=np.int64) + 1,
        command=command,
        angle_deg=angle,
        side=np.array([_SIDE[r.direction] for r in used], dtype=np.float64),
        cycle=np.array([r.cycle or 0 for r in used], dtype=np.int64),
        jogged=jogged,
        resolution_deg=reading_resolution_deg(read),
        sense=_sense(command, angle),
    )


def reading_resolution_deg(angle_deg: Floats) -> float:
    """Return the step that angles were read to, 0 when none shows.

    Examples
    --------
    >>> reading_resolution_deg(np.array([3.0, 17.0, 44.0, 58.0, 71.0, 90.0]))
    1.0
    >>> reading_resolution_deg(np.array([3.5, 17.0, 44.5, 58.0, 71.5, 90.0]))
    0.5
    """
    if angle_deg.size == 0:
        return 0.0
    for step in RESOLUTIONS_DEG:
        off = np.abs(angle_deg / step - np.round(angle_deg / step))
        if np.mean(off < 1e-6 / step + 1e-9) >= _SHARE_ON_STEP:
            # even numbers by chance are no coarser step: with few rows the next finer one is the safer guess
            chance = 0.5 ** np.unique(angle_deg).size
            return step if chance < 0.02 or step <= 1.0 else 1.0
    return 0.0


def _sense(command: Floats, angle_deg: Floats) -> float:
    """Return the sign of the median slope: half the rows may be wrong before it turns."""
    if command.size < 2:
        return 1.0
    order = np.argsort(command, kind="stable")
    half = command.size // 2
    low, high = order[:half], order[-half:]
    return 1.0 if np.median(angle_deg[high]) >= np.median(angle_deg[low]) else -1.0


def side_by_order(seen: Observations) -> Floats:
    """Return from which side each needle arrived, judged by the command before; 0 where that says nothing.

    Only the rows' order is used: a command that moves the dial angle up means arrival from below.
    """
    moved = np.sign(np.diff(seen.command)) * seen.sense
    by_order = np.zeros(seen.size)
    by_order[1:] = -moved
    # the first row of a file is where the sweep begins; it continues as the second does
    if seen.size > 1:
        by_order[0] = by_order[1]
    return by_order


def with_sides_filled(seen: Observations) -> tuple[Observations, Ints]:
    """Return the observations with unknown directions taken from the order, and the rows so filled.

    The order is believed only where the directions that are noted agree with it, four rows in five.
    """
    unknown = seen.side == 0
    if not unknown.any():
        return seen, np.empty(0, dtype=np.int64)
    by_order = side_by_order(seen)
    both = ~unknown & (by_order != 0)
    if both.any() and np.mean(by_order[both] == seen.side[both]) < 0.8:
        return seen, np.empty(0, dtype=np.int64)
    if not both.any() and not order_is_a_sweep(by_order):
        return seen, np.empty(0, dtype=np.int64)
    filled = unknown & (by_order != 0)
    return replace(seen, side=np.where(filled, by_order, seen.side)), seen.row[filled]


def order_is_a_sweep(by_order: Floats) -> bool:
    """Return whether the rows run along the arc with few turns, as a sweep does."""
    steps = by_order[by_order != 0]
    turns = int(np.sum(np.diff(steps) != 0))
    return bool(steps.size >= 4 and turns <= max(1, steps.size // 5))
