"""One cell of the calibration bench: many drives of one kind, read one way, mapped by fit and rivals."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.readings import Direction
from gaugecore.calibration.result import Fit
from gaugecore.calibration.suspects import AFTER_LOSS, AT_STOP, LONE_AT_STOP
from gaugecore.errors import FitError
from tests.bench.drives import UP, Drive, Floats, Sitting, servo_drive, stepper_drive, take_readings
from tests.bench.needle_error import (
    Map,
    best_map_per_direction,
    best_single_map,
    errors_deg,
    p95,
    targets_deg,
)
from tests.bench.rivals import RIVALS

FIT, SINGLE, EACH = "this fit", "oracle, single map", "oracle, per direction"
_BAND = 1.96


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """What is read, and how."""

    kind: str = "servo"
    n: int
    step_deg: float = 1.0
    slip_rate: float = 0.05
    harsh: bool = False
    staggered: bool = False
    lose_steps: bool = False

    @property
    def name(self) -> str:
        """Return the cell in words."""
        words = [self.kind, "harsh" if self.harsh else "nominal", f"{self.n} readings", f"{self.step_deg:g}°"]
        words.append("staggered" if self.staggered else "equal-spaced")
        words.append("5 % slips" if self.slip_rate else "no slips")
        return ", ".join(words + (["steps lost"] if self.lose_steps else []))


@dataclass(slots=True)
class Result:
    """What came of a cell, drive by drive."""

    cell: Cell
    p95_deg: dict[str, list[float]] = field(default_factory=dict)
    covered: list[float] = field(default_factory=list)
    reversal_error_deg: list[float] = field(default_factory=list)
    hits: int = 0
    false_alarms: int = 0
    misses: int = 0
    in_doubt: int = 0
    refused: int = 0
    losses_named: int = 0
    seconds: list[float] = field(default_factory=list)

    def r1(self, method: str = FIT) -> Floats:
        """Return p95 over that of the best single-valued map, drive by drive."""
        return np.array(self.p95_deg[method]) / np.array(self.p95_deg[SINGLE])

    def against(self, rival: str) -> float:
        """Return the geometric mean of the fit's p95 over a rival's."""
        return float(np.exp(np.mean(np.log(np.array(self.p95_deg[FIT]) / np.array(self.p95_deg[rival])))))

    @property
    def precision(self) -> float:
        """Return the share of the suspect rows that are slips."""
        return self.hits / max(1, self.hits + self.false_alarms)

    @property
    def recall(self) -> float:
        """Return the share of the slips that are suspect."""
        return self.hits / max(1, self.hits + self.misses)

    @property
    def reversal_rms_deg(self) -> float:
        """Return the root mean square error of the lost motion."""
        return float(np.sqrt(np.mean(np.square(self.reversal_error_deg)))) if self.reversal_error_deg else 0.0


def measure(
    cell: Cell, drives: int, *, first: int = 1000, on_drive: Callable[[], None] = lambda: None
) -> Result:
    """Return what came of a cell over a number of drives; the same numbers every time.

    The first drive is not drive 0: the constants of the fit were set on the first 200.
    """
    result = Result(cell)
    make = servo_drive if cell.kind == "servo" else stepper_drive
    for seed in range(first, first + drives):
        drive = make(np.random.default_rng(seed), harsh=cell.harsh)
        sitting = take_readings(
            drive, np.random.default_rng([seed, cell.n]), n=cell.n, step_deg=cell.step_deg,
            slip_rate=cell.slip_rate, staggered=cell.staggered, lose_steps=cell.lose_steps,
        )  # fmt: skip
        _measure_one(result, drive, sitting, seed)
        on_drive()
    return result


def _measure_one(result: Result, drive: Drive, sitting: Sitting, seed: int) -> None:
    start = time.process_time()
    try:
        fit = fit_readings(sitting.readings, kind=result.cell.kind)  # type: ignore[arg-type]
    except FitError as error:
        result.refused += 1
        result.losses_named += "steps" in str(error)
        return
    result.seconds.append(time.process_time() - start)
    result.losses_named += any(s.reason == AFTER_LOSS for s in fit.suspect_rows)
    maps: dict[str, Map] = {name: make(sitting.readings) for name, make in RIVALS.items()}
    maps |= {SINGLE: best_single_map(drive), EACH: best_map_per_direction(drive), FIT: _steer(fit)}
    for name, steer in maps.items():
        # every map is tried on the same needle, with the same chance
        errors = errors_deg(drive, steer, np.random.default_rng([seed, 5]))
        result.p95_deg.setdefault(name, []).append(p95(errors))
    result.covered.append(_covered(fit, drive, errors))
    if fit.reversal_deg.value is not None:
        result.reversal_error_deg.append(fit.reversal_deg.value - drive.mean_lost_deg)
    # "at the end stop, or misread" counts as a stop: a slip among them is a miss, told apart as in doubt
    doubtful = {s.row for s in fit.suspect_rows if s.reason.startswith(LONE_AT_STOP)}
    named = {s.row for s in fit.suspect_rows if s.reason not in (AT_STOP, AFTER_LOSS)} - doubtful
    result.hits += len(named & sitting.slips)
    result.false_alarms += len(named - sitting.slips)
    result.misses += len(sitting.slips - named)
    result.in_doubt += len(sitting.slips & doubtful)


def _steer(fit: Fit) -> Map:
    return lambda wanted, side: fit.commands(
        wanted, Direction.UP if side == UP else Direction.DOWN, clamp=True
    )


def _covered(fit: Fit, drive: Drive, errors: Floats) -> float:
    """Return the share of targets on the calibrated arc where the needle is inside the 95 % band."""
    wanted = targets_deg(drive)
    on_arc = (wanted >= fit.angle_range_deg[0]) & (wanted <= fit.angle_range_deg[1])
    u = np.interp(wanted, fit.knots.angle_deg, fit.knots.standard_uncertainty_deg)
    return float(np.mean((np.abs(errors) <= _BAND * u)[:, on_arc]))
