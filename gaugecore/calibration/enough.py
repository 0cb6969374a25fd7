"""What to read next, how many readings an accuracy takes, and when it is enough.

A stop on the band is an honest "enough", not a saving: over simulated drives, adaptive choice of marks did no
better than a staggered plan.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gaugecore.calibration.plan import Target
from gaugecore.calibration.readings import Direction, Reading
from gaugecore.calibration.report import BAND
from gaugecore.calibration.result import Fit
from gaugecore.calibration.suspects import AFTER_LOSS, AT_STOP, OUTSIDE_LIMITS

#: Readings, and the needle's median 95th-percentile error in degrees that they gave over the simulated servos
#: of docs/accuracy.md, by reading step.
_MEASURED = {
    1.0: ((11, 0.80), (21, 0.62), (31, 0.55)),
    0.5: ((11, 0.74), (21, 0.55), (31, 0.46)),
}
_NOT_READ_AGAIN = (AT_STOP, AFTER_LOSS, OUTSIDE_LIMITS)


def read_again(fit: Fit, readings: Sequence[Reading]) -> tuple[Target, ...]:
    """Return the flagged rows as targets under a new cycle number, up along the arc, then down.

    Rows at a stop, outside the limits or after lost steps are not worth reading again.
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


def readings_needed(wanted_deg: float, *, resolution_deg: float = 1.0) -> int | None:
    """Return how many readings an accuracy usually takes with a staggered plan, None when no plan gives it.

    Parameters
    ----------
    wanted_deg : float
        Error of the needle that 95 % of the targets keep.
    resolution_deg : float
        Step the angles are read to; between and beyond the measured ones the coarser measured one counts.

    Notes
    -----
    Half of the simulated servos did better, half worse: take more and let the band decide (`is_enough`).

    Examples
    --------
    >>> readings_needed(0.7), readings_needed(0.1)
    (17, None)
    """
    finest = min(_MEASURED)
    step = next((s for s in sorted(_MEASURED) if s >= resolution_deg - 1e-9), max(_MEASURED))
    measured = _MEASURED[finest if resolution_deg < finest else step]
    counts, errors = zip(*measured, strict=True)
    if wanted_deg < errors[-1]:
        return None
    return int(np.ceil(np.interp(wanted_deg, errors[::-1], counts[::-1])))


def is_enough(fit: Fit, wanted_deg: float) -> bool:
    """Return whether the 95 % band lies within a wanted accuracy all along the arc."""
    return BAND * max(fit.knots.standard_uncertainty_deg) <= wanted_deg
