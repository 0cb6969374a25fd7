"""What to read next, how many readings an accuracy takes, and when it is enough.

A stop on the band is an honest "enough", not a saving: over simulated drives, adaptive choice of marks did no
better than a staggered plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from gaugecore.calibration.plan import Target
from gaugecore.calibration.readings import Direction, Reading
from gaugecore.calibration.result import BAND, Fit
from gaugecore.calibration.suspects import AFTER_LOSS, AT_STOP, OUTSIDE_LIMITS, TURNED_AT_STOP

_Measured = dict[float, tuple[tuple[int, float], ...]]
#: Readings, and the needle's median 95th-percentile error in degrees that they gave over the simulated drives
#: of docs/accuracy.md, by reading step.
_MEASURED: dict[Literal["servo", "stepper"], _Measured] = {
    "servo": {1.0: ((11, 0.80), (21, 0.61), (31, 0.54)), 0.5: ((21, 0.55),)},
    "stepper": {1.0: ((21, 0.59), (31, 0.48))},
}
_NOT_READ_AGAIN = (AT_STOP, TURNED_AT_STOP, AFTER_LOSS, OUTSIDE_LIMITS)


def read_again(fit: Fit, readings: Sequence[Reading]) -> tuple[Target, ...]:
    """Return the flagged rows as targets under a new cycle number, up along the arc, then down.

    Rows at a stop, outside the limits or after lost steps are not worth reading again; a row that alone
    speaks for a stop is.
    """
    cycle = 1 + max((reading.cycle or 1 for reading in readings), default=0)
    flagged = [readings[s.row - 1] for s in fit.suspect_rows if s.reason not in _NOT_READ_AGAIN]
    commands = [(r.command, r.direction) for r in flagged if r.direction is not Direction.UNKNOWN]
    rising = fit.knots.command_up[-1] > fit.knots.command_up[0]
    up = sorted({c for c, side in commands if side is Direction.UP}, reverse=not rising)
    down = sorted({c for c, side in commands if side is Direction.DOWN}, reverse=rising)
    return tuple(
        Target(command=command, direction=side, cycle=cycle)
        for side, along in ((Direction.UP, up), (Direction.DOWN, down))
        for command in along
    )


def readings_needed(
    wanted_deg: float, *, resolution_deg: float = 1.0, kind: Literal["servo", "stepper"] = "servo"
) -> int | None:
    """Return how many readings an accuracy usually takes with a staggered plan, None when no plan gives it.

    Parameters
    ----------
    wanted_deg : float
        Error of the needle that 95 % of the targets keep.
    resolution_deg : float
        Step the angles are read to; between the measured steps the coarser one counts.
    kind : {"servo", "stepper"}
        What turns the needle.

    Notes
    -----
    Half of the simulated drives did better, half worse: take more and let the band decide (`is_enough`).

    Examples
    --------
    >>> readings_needed(0.7), readings_needed(0.1)
    (17, None)
    """
    # what a coarser step takes is enough for a finer one too
    measured = _MEASURED[kind]
    steps = [step for step in measured if step >= resolution_deg - 1e-9] or [max(measured)]
    counts = [_interpolated(measured[step], wanted_deg) for step in steps]
    return min((count for count in counts if count is not None), default=None)


def _interpolated(measured: tuple[tuple[int, float], ...], wanted_deg: float) -> int | None:
    counts, errors = zip(*measured, strict=True)
    if wanted_deg < errors[-1]:
        return None
    return int(np.ceil(np.interp(wanted_deg, errors[::-1], counts[::-1])))


def is_enough(fit: Fit, wanted_deg: float) -> bool:
    """Return whether the 95 % band lies within a wanted accuracy all along the arc."""
    return BAND * max(fit.knots.standard_uncertainty_deg) <= wanted_deg
