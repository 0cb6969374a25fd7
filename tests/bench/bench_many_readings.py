"""Very many readings, as a camera gives: accuracy and seconds of a fit; and whether a slow drift is noticed.

``python -m tests.bench many_readings`` takes about a minute.
"""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
from rich.console import Console
from rich.table import Table

from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.readings import Direction
from gaugecore.calibration.result import Fit
from gaugecore.errors import FitError
from tests.bench.drives import UP, servo_drive, take_readings
from tests.bench.needle_error import Map, best_map_per_direction, best_single_map, errors_deg, p95

# drives on which no constant of the fit was set
_FIRST = 1000
_MANY = ((80, 1.0), (300, 0.5), (2000, 0.1))
_MANY_DRIVES = 20
_DRIFT_DRIVES = 50
_DRIFTS_DEG = (0.0, 0.5, 1.0, 2.0)
_SLIPS = 0.03


def run() -> None:
    """Measure and print both tables."""
    console = Console(width=110)
    console.print(_very_many())
    console.print(_drift())


def _very_many() -> Table:
    table = Table(title=f"very many readings, {_MANY_DRIVES} servos, 3 % slips; medians")
    for name in ("readings", "step", "p95", "oracle, each way", "R1", "slips found", "CPU s a fit"):
        table.add_column(name, justify="right")
    for n, step_deg in _MANY:
        rows = [_one(seed, n, step_deg) for seed in range(_FIRST, _FIRST + _MANY_DRIVES)]
        error, single, each, found, slips, seconds = np.array(rows).T
        table.add_row(
            str(n), f"{step_deg:g}°", f"{np.median(error):.2f}°", f"{np.median(each):.2f}°",
            f"{np.median(error / single):.2f}", f"{found.sum():.0f} of {slips.sum():.0f}",
            f"{np.mean(seconds):.2f}",
        )  # fmt: skip
    return table


def _one(seed: int, n: int, step_deg: float) -> tuple[float, ...]:
    """Return p95 of fit and oracles, slips found and there, and the seconds, for one drive."""
    drive = servo_drive(np.random.default_rng(seed))
    sitting = take_readings(drive, np.random.default_rng([seed, n]), n=n, step_deg=step_deg, slip_rate=_SLIPS)
    start = time.process_time()
    fit = fit_readings(sitting.readings)
    seconds = time.process_time() - start
    maps = (_steer(fit), best_single_map(drive), best_map_per_direction(drive))
    scores = [p95(errors_deg(drive, steer, np.random.default_rng([seed, 5]))) for steer in maps]
    named = {suspect.row for suspect in fit.suspect_rows}
    return *scores, float(len(named & sitting.slips)), float(len(sitting.slips)), seconds


def _steer(fit: Fit) -> Map:
    return lambda wanted, side: fit.commands(
        wanted, Direction.UP if side == UP else Direction.DOWN, clamp=True
    )


def _drift() -> Table:
    """Return how often a drive that was still warming up is noticed, and how often one that was not."""
    table = Table(title=f"drift while reading, {_DRIFT_DRIVES} servos, 1° steps, 5 % slips; share noticed")
    table.add_column("first reading off by")
    for n in (21, 31):
        table.add_column(f"{n} readings", justify="right")
    for drift_deg in _DRIFTS_DEG:
        shares = [np.mean([_noticed(seed, n, drift_deg) for seed in _drift_seeds()]) for n in (21, 31)]
        table.add_row(f"{drift_deg:g}°", *(f"{share:.0%}" for share in shares))
    return table


def _drift_seeds() -> range:
    return range(_FIRST, _FIRST + _DRIFT_DRIVES)


def _noticed(seed: int, n: int, drift_deg: float) -> bool:
    drive = replace(servo_drive(np.random.default_rng(seed)), warming_deg=drift_deg * (-1.0) ** seed)
    sitting = take_readings(drive, np.random.default_rng([seed, n]), n=n)
    try:
        fit = fit_readings(sitting.readings)
    except FitError:
        return False
    return any("moved while it was read" in warning for warning in fit.warnings)


if __name__ == "__main__":
    run()
