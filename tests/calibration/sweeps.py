"""Readings of a simple needle for tests that are not about accuracy."""

from __future__ import annotations

import numpy as np

from gaugecore.calibration.readings import Direction, Held, Reading

LOST_DEG = 1.2


def angle_of(command: float, side: float) -> float:
    """Return where the needle of the tests rests: a bent line with lost motion; side -1 from below."""
    share = (command - 1000.0) / 1000.0
    return -60.0 + 120.0 * share + 1.5 * float(np.sin(4.0 * share)) + side * LOST_DEG / 2.0


def sweep(
    n_up: int = 11, *, step_deg: float = 1.0, cycle: int = 1, noise_deg: float = 0.15, seed: int = 1
) -> tuple[Reading, ...]:
    """Return an up sweep of ``n_up`` marks and the way back over the same marks but the last."""
    rng = np.random.default_rng([seed, cycle])
    marks = np.linspace(1000.0, 2000.0, n_up)
    plan = [(c, -1.0) for c in marks] + [(c, 1.0) for c in marks[:-1][::-1]]
    return tuple(
        Reading(
            command=float(c),
            angle_deg=float(np.round((angle_of(c, side) + rng.normal(0, noise_deg)) / step_deg) * step_deg),
            direction=Direction.UP if side < 0 else Direction.DOWN,
            cycle=cycle,
            held=Held.COMMAND,
        )
        for c, side in plan
    )


def cycles(count: int, n_up: int = 6, **how: float) -> tuple[Reading, ...]:
    """Return several sweeps one after the other."""
    return tuple(r for c in range(1, count + 1) for r in sweep(n_up, cycle=c, **how))  # type: ignore[arg-type]


def with_angle(readings: tuple[Reading, ...], row: int, angle_deg: float) -> tuple[Reading, ...]:
    """Return the readings with the angle of one row, counted from 1, replaced."""
    changed = readings[row - 1].model_copy(update={"angle_deg": angle_deg})
    return (*readings[: row - 1], changed, *readings[row:])
