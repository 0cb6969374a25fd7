"""Drives that exist only here: needles whose truth is known, read by a person who sometimes slips.

They are made unlike the virtual board on purpose: the shape is a spline through random heights with a worn
patch, friction lets the needle stop short, warmth moves it while it is read. A fit that only knew the virtual
board's formula would show here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from gaugecore.calibration.readings import Direction, Held, Reading

Floats = np.ndarray
UP, DOWN = -1.0, 1.0
_LOW_US, _HIGH_US = 700.0, 2200.0
_GRID = 1201


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """A movement with its needle, its truth on a grid of commands.

    ``middle_deg`` is where the needle would rest without lost motion and before the stops.
    """

    kind: str
    family: str
    command: Floats
    middle_deg: Floats
    lost_deg: Floats
    stops_deg: tuple[float, float]
    repeatability_deg: float
    sticking_deg: float
    warming_deg: float
    reader_noise_deg: float
    parallax_deg: float
    heavy_reader: bool

    def rest_deg(self, command: Floats, side: Floats) -> Floats:
        """Return where the warm needle comes to rest, without chance; side -1 from below, +1 from above."""
        middle = np.interp(command, self.command, self.middle_deg)
        gap = np.interp(command, self.command, self.lost_deg)
        return np.clip(middle + np.asarray(side) * gap / 2.0, *self.stops_deg)

    def needle_deg(self, command: Floats, side: Floats, rng: np.random.Generator) -> Floats:
        """Return where the warm needle comes to rest, chance included."""
        n = np.shape(command)
        short = rng.exponential(self.sticking_deg, n) - self.sticking_deg if self.sticking_deg else 0.0
        rest = (
            self.rest_deg(command, side) + rng.normal(0, self.repeatability_deg, n) + np.asarray(side) * short
        )
        return np.clip(rest, *self.stops_deg)

    @property
    def mean_lost_deg(self) -> float:
        """Mean lost motion over the sweep."""
        return float(self.lost_deg.mean())


def servo_drive(rng: np.random.Generator, *, harsh: bool = False) -> Drive:
    """Return a random servo with its needle."""
    command = np.linspace(_LOW_US, _HIGH_US, _GRID)
    t = np.linspace(0.0, 1.0, _GRID)
    gain = rng.uniform(0.085, 0.115)
    line = gain * (command - 1450.0) + rng.uniform(-8, 8)
    heights = rng.normal(0, 1, rng.integers(5, 8))
    bow = CubicSpline(np.linspace(0, 1, heights.size), heights)(t)
    bow -= np.polyval(np.polyfit(t, bow, 1), t)
    bow *= rng.uniform(0.4, 2.4) / np.abs(bow).max()
    patch = rng.uniform(0.2, 1.2) * (1.6 if harsh else 1.0) * rng.choice([-1, 1])
    place, width = rng.uniform(0.15, 0.85), rng.uniform(0.015, 0.05)
    worn = patch * np.tanh((t - place) / width) * np.exp(-(((t - place) / (4 * width)) ** 2))
    tilt = rng.uniform(0, 0.3) * np.sin(np.radians(line + rng.uniform(-180, 180)))
    middle = np.maximum.accumulate(line + bow + worn + tilt) + 1e-6 * command
    slack = rng.uniform(1.0, 2.5) if harsh else rng.uniform(0.15, 1.3)
    lost = slack * (1 + rng.uniform(0, 0.15) * np.sin(np.radians(line))) + gain * rng.uniform(1, 7)
    stops = [-1e4, 1e4]
    if rng.random() < 0.36:
        end = int(rng.integers(2))
        stops[end] = middle[-1 if end else 0] + (-1 if end else 1) * rng.uniform(1.5, 9.0)
    return Drive(
        kind="servo", family="harsh" if harsh else "nominal", command=command, middle_deg=middle,
        lost_deg=lost, stops_deg=(stops[0], stops[1]),
        repeatability_deg=rng.uniform(0.15, 0.4) if harsh else rng.uniform(0.06, 0.20),
        sticking_deg=rng.uniform(0.1, 0.4) if harsh else rng.uniform(0.0, 0.06),
        warming_deg=rng.uniform(0.3, 1.2) * rng.choice([-1, 1]) if harsh else rng.uniform(-0.25, 0.25),
        reader_noise_deg=0.35 if harsh else 0.2, parallax_deg=rng.uniform(-0.3, 0.3) if harsh else 0.0,
        heavy_reader=harsh,
    )  # fmt: skip


def stepper_drive(rng: np.random.Generator, *, harsh: bool = False) -> Drive:
    """Return a random gauge stepper with its needle; command in twelfths of a degree or thereabouts."""
    command = np.linspace(0.0, 3600.0, _GRID)
    t = np.linspace(0.0, 1.0, _GRID)
    line = command / 12.0 * (1 + rng.normal(0, 0.004)) - 150.0 + rng.uniform(-3, 3)
    bow = rng.uniform(-1.2, 1.2) * 4 * t * (1 - t)
    period = rng.choice([24.0, 30.0, 36.0, 45.0, 60.0, 72.0, 90.0])
    teeth = rng.uniform(0.1, 0.7) * np.sin(2 * np.pi * (line / period + rng.random()))
    middle = np.maximum.accumulate(line + bow + teeth) + 1e-6 * command
    return Drive(
        kind="stepper", family="harsh" if harsh else "nominal", command=command, middle_deg=middle,
        lost_deg=np.full(_GRID, rng.uniform(0.3, 0.9)), stops_deg=(-1e4, 1e4),
        repeatability_deg=rng.uniform(0.03, 0.1), sticking_deg=0.0, warming_deg=0.0,
        reader_noise_deg=0.35 if harsh else 0.2, parallax_deg=rng.uniform(-0.3, 0.3) if harsh else 0.0,
        heavy_reader=harsh,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting:
    """What a person wrote down, and which rows are wrong."""

    readings: tuple[Reading, ...]
    slips: frozenset[int]
    lost_after_row: int | None = None


def sweep_commands(drive: Drive, n: int, *, staggered: bool) -> list[tuple[float, float]]:
    """Return (command, side) of n readings: up the arc and back, equal-spaced or staggered."""
    low, high = float(drive.command[0]), float(drive.command[-1])
    if staggered:
        if drive.stops_deg != (-1e4, 1e4):  # the plan finds the stops first and stays inside
            inside = (drive.middle_deg > drive.stops_deg[0] + 3) & (drive.middle_deg < drive.stops_deg[1] - 3)
            low, high = float(drive.command[inside][0]), float(drive.command[inside][-1])
        even = np.linspace(low, high, n)
        up = [i for i in range(n) if i % 2 == 1 or i == n - 1]
        down = [i for i in range(n) if i not in up]
        return [(even[i], UP) for i in up] + [(even[i], DOWN) for i in reversed(down)]
    marks = np.linspace(low, high, n // 2 + 1)
    back = marks[:-1][::-1] if n % 2 else marks[1:-1][::-1]
    return [(c, UP) for c in marks] + [(c, DOWN) for c in back]


def take_readings(
    drive: Drive, rng: np.random.Generator, *, n: int, step_deg: float = 1.0, slip_rate: float = 0.05,
    staggered: bool = False, lose_steps: bool = False,
) -> Sitting:  # fmt: skip
    """Return one sitting of readings at the drive."""
    plan = sweep_commands(drive, n, staggered=staggered)
    command, side = np.array([c for c, _ in plan]), np.array([s for _, s in plan])
    needle = drive.needle_deg(command, side, rng)
    warming = drive.warming_deg * (np.exp(-np.arange(n) / (0.4 * n)))
    needle = np.clip(needle + warming, *drive.stops_deg)
    lost_after = int(rng.integers(2, n - 2)) if lose_steps else None
    if lost_after is not None:
        needle = needle + np.where(
            np.arange(n) >= lost_after, rng.choice([-1, 1]) * rng.uniform(2.0, 6.0), 0.0
        )
    noise = rng.standard_t(4, n) / np.sqrt(2) if drive.heavy_reader else rng.normal(0, 1, n)
    read = np.round((needle + drive.parallax_deg + drive.reader_noise_deg * noise) / step_deg) * step_deg
    rows = [
        Reading(
            command=round(float(c), 1), angle_deg=float(a), held=Held.COMMAND, cycle=1,
            direction=Direction.UP if s < 0 else Direction.DOWN,
        )
        for c, s, a in zip(command, side, read, strict=True)
    ]  # fmt: skip
    slips = set()
    for i in range(n):
        if rng.random() < slip_rate:
            slipped = _slip(rows, i, rng)
            if slipped is not None:
                rows[i] = slipped
                slips.add(i + 1)
    return Sitting(readings=tuple(rows), slips=frozenset(slips), lost_after_row=lost_after)


def _slip(rows: list[Reading], i: int, rng: np.random.Generator) -> Reading | None:
    row = rows[i]
    kind = int(rng.integers(5))
    if kind == 0:
        return row.model_copy(update={"angle_deg": row.angle_deg + rng.choice([-5.0, 5.0])})
    if kind == 1:
        return row.model_copy(update={"angle_deg": row.angle_deg + rng.choice([-10.0, 10.0])})
    if kind == 2:
        text = f"{abs(row.angle_deg):g}"
        whole, dot, part = text.partition(".")
        if len(whole) >= 2 and whole[-1] != whole[-2]:
            swapped = float(whole[:-2] + whole[-1] + whole[-2] + dot + part)
            return row.model_copy(update={"angle_deg": np.copysign(swapped, row.angle_deg)})
        return row.model_copy(update={"angle_deg": row.angle_deg + rng.choice([-10.0, 10.0])})
    if kind == 3:
        other = Direction.DOWN if row.direction is Direction.UP else Direction.UP
        return row.model_copy(update={"direction": other})
    return rows[i - 1] if i else None
