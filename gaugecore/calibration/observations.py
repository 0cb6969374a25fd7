"""Readings as columns of numbers, with the resolution that their digits tell."""

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
    kept : ndarray of bool
        True where the user stands by the row, whatever the others say.
    count : ndarray
        Readings that the row stands for; 1 unless several were drawn together.
    spread_var : ndarray
        Variance that stays however many readings are drawn together; 0 for a single one.
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
    kept: Bools
    count: Floats
    spread_var: Floats
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
            kept=self.kept[keep],
            count=self.count[keep],
            spread_var=self.spread_var[keep],
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
        kept=np.array([bool(r.kept) for r in used], dtype=np.bool_),
        count=np.ones(len(used)),
        spread_var=np.zeros(len(used)),
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
