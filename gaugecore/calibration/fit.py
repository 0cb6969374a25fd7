"""The fit: from readings to the calibrated map between dial angle and command."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from gaugecore.calibration.branches import Curves, make_knots
from gaugecore.calibration.observations import observe, with_sides_filled
from gaugecore.calibration.readings import Reading
from gaugecore.calibration.result import Fit, Reversal, SuspectRow
from gaugecore.errors import FitError


def fit_readings(
    readings: Sequence[Reading],
    *,
    kind: Literal["servo", "stepper"] = "servo",
    command_limits: tuple[float, float] | None = None,
) -> Fit:
    """Return the calibrated map of a dial (first form: robust cubic with a constant reversal)."""
    seen, _ = with_sides_filled(observe(readings))
    if seen.size < 5:
        raise FitError("too few readings for a fit", found=seen.size, accepted="at least 5")
    low, high = float(seen.command.min()), float(seen.command.max())
    if low == high or np.ptp(seen.angle_deg) == 0:
        raise FitError("all readings are alike", accepted="readings along the arc")
    x = (seen.command - low) / (high - low) * 2 - 1
    terms = np.column_stack([x**k for k in range(4)] + [seen.side / 2])
    weight = np.ones(seen.size)
    for _ in range(30):
        root = np.sqrt(weight)[:, None]
        solution, *_ = np.linalg.lstsq(terms * root, seen.angle_deg * root[:, 0], rcond=None)
        residual = seen.angle_deg - terms @ solution
        spread = max(1.4826 * float(np.median(np.abs(residual))), 0.1)
        weight = 1.0 / (1.0 + (residual / (2.5 * spread)) ** 4)
    bad = np.abs(residual) > 4 * spread
    scatter = float(np.sqrt(np.sum(residual[~bad] ** 2) / max(1, np.sum(~bad) - 5)))
    grid = np.linspace(low, high, 401)
    middle = np.polynomial.polynomial.polyval(np.linspace(-1.0, 1.0, 401), solution[:4])
    gap = float(solution[4]) if (seen.side != 0).any() else 0.0
    knots = make_knots(
        Curves(
            command=grid,
            up_deg=middle - gap / 2,
            down_deg=middle + gap / 2,
            uncertainty_deg=np.full(grid.size, scatter),
        ),
        sense=seen.sense,
    )
    return Fit(
        kind=kind,
        command_range=(low, high),
        angle_range_deg=(knots.angle_deg[0], knots.angle_deg[-1]),
        knots=knots,
        reversal_deg=Reversal(value=gap, standard_uncertainty=2 * scatter / float(np.sqrt(seen.size))),
        repeatability_deg=None,
        suspect_rows=tuple(
            SuspectRow(row=int(r), residual_deg=float(d), reason="far from its neighbours")
            for r, d in zip(seen.row[bad], residual[bad], strict=True)
        ),
        warnings=("repeatability needs several cycles at the same commands",),
    )
