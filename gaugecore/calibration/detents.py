"""Detent marks: the probability that the needle covers one, from either side."""

from __future__ import annotations

import math

import numpy as np

from gaugecore.calibration.readings import Direction
from gaugecore.calibration.result import Fit
from gaugecore.errors import FitError


def cover_probability(
    fit: Fit, angle_deg: float, *, tolerance_deg: float, direction: Direction, per_direction: bool = True
) -> float:
    """Return the probability that the needle stops within the tolerance of a mark.

    Parameters
    ----------
    fit : Fit
        The fit in force.
    angle_deg : float
        Dial angle of the mark.
    tolerance_deg : float
        Half-width of what counts as covered.
    direction : Direction
        How the needle arrives.
    per_direction : bool
        Whether the table has a branch for each direction; with a single one the needle is off by half the
        lost motion, one way or the other.

    Raises
    ------
    FitError
        If the mark lies outside the calibrated arc.
    """
    low, high = fit.angle_range_deg
    if not low <= angle_deg <= high:
        raise FitError(
            "a detent mark lies outside the calibrated arc",
            found=f"{angle_deg:g}°",
            accepted=f"{low:g}° to {high:g}°",
        )
    u = float(np.interp(angle_deg, fit.knots.angle_deg, fit.knots.standard_uncertainty_deg))
    off = 0.0
    if not per_direction:
        command = fit.commands(angle_deg, Direction.UNKNOWN)
        off = float(fit.angles(command, direction)[0]) - angle_deg
    scale = math.sqrt(2.0) * max(u, 1e-9)
    return (math.erf((tolerance_deg - off) / scale) + math.erf((tolerance_deg + off) / scale)) / 2.0
