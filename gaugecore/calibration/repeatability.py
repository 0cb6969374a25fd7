"""Repeatability: how far the needle strays when the same command comes again from the same side.

One sweep cannot tell it from the scatter of reading; it takes the same commands in several cycles.
"""

from __future__ import annotations

import numpy as np

from gaugecore.calibration.observations import Bools, Observations

#: Fewer degrees of freedom than this say nothing about a standard deviation.
_FEWEST_FREEDOMS = 5


def repeatability_deg(seen: Observations, trusted: Bools) -> tuple[float | None, str]:
    """Return the standard deviation of the needle under repeated commands, or None with the reason.

    Parameters
    ----------
    seen : Observations
        All rows, not drawn together.
    trusted : ndarray of bool, shape (n,)
        Rows to use.

    Notes
    -----
    The pooled variance within groups of equal command and side, less that of rounding. What a reader adds by
    parallax is still in it, so it is an upper bound.
    """
    freedoms, total = 0, 0.0
    one_cycle = np.unique(seen.cycle[trusted]).size < 2
    for side in (-1.0, 1.0):
        rows = trusted & (seen.side == side) & ~seen.jogged
        for command in np.unique(seen.command[rows]):
            angles = seen.angle_deg[rows & (seen.command == command)]
            freedoms += angles.size - 1
            total += float(((angles - angles.mean()) ** 2).sum())
    if freedoms < _FEWEST_FREEDOMS:
        why = "one cycle cannot tell it" if one_cycle else "too few commands come again from the same side"
        return None, f"repeatability is not known: {why}; read the same commands in at least 3 cycles"
    variance = total / freedoms - seen.resolution_deg**2 / 12.0
    if variance <= 0.0:
        return None, (
            f"repeatability is not known: it hides below the reading step of {seen.resolution_deg:g}°; "
            "read finer to tell it"
        )
    return float(np.sqrt(variance)), ""
