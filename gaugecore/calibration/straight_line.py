"""The least-squares line with its uncertainties, as in the GUM's example H.3 (JCGM 100:2008).

Slope and intercept are correlated, strongly when the points lie far from zero; leaving that out makes the
uncertainty of a prediction wrong.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from gaugecore.errors import FitError
from gaugecore.values import Part


class StraightLine(Part):
    """A line y = intercept + slope (x - origin) fitted to points.

    Attributes
    ----------
    intercept, slope : float
        At ``origin``, and per unit of x.
    intercept_u, slope_u : float
        Their standard uncertainties.
    correlation : float
        Between the two.
    scatter : float
        Standard deviation of the points about the line.
    freedoms : int
        Degrees of freedom of the scatter.
    origin : float
        Where the intercept is taken.
    """

    intercept: float
    slope: float
    intercept_u: float
    slope_u: float
    correlation: float
    scatter: float
    freedoms: int
    origin: float

    def at(self, x: float) -> tuple[float, float]:
        """Return the line's value at x and its standard uncertainty."""
        run = x - self.origin
        cross = 2.0 * run * self.correlation * self.intercept_u * self.slope_u
        variance = self.intercept_u**2 + (run * self.slope_u) ** 2 + cross
        return self.intercept + self.slope * run, math.sqrt(max(variance, 0.0))


def fit_line(x: ArrayLike, y: ArrayLike, *, origin: float = 0.0) -> StraightLine:
    """Return the least-squares line through points of equal weight.

    Parameters
    ----------
    x, y : array_like, shape (n,)
        At least 3 points with at least 2 different ``x``.
    origin : float
        Where the intercept is taken.

    Raises
    ------
    FitError
        If there are too few points, or all ``x`` are alike.
    """
    at, value = np.asarray(x, dtype=np.float64) - origin, np.asarray(y, dtype=np.float64)
    if at.size < 3 or at.size != value.size or np.ptp(at) == 0:
        raise FitError(
            "a straight line needs points that vary", found=f"{at.size} points", accepted="at least 3 along x"
        )
    # deviations from the mean first: sums of squares of large numbers would lose the digits
    run = at - at.mean()
    slope = float(run @ (value - value.mean()) / (run @ run))
    intercept = float(value.mean() - slope * at.mean())
    freedoms = at.size - 2
    miss = value - value.mean() - slope * run
    variance = float(miss @ miss) / freedoms
    slope_u = math.sqrt(variance / float(run @ run))
    intercept_u = math.sqrt(variance * (1.0 / at.size + float(at.mean()) ** 2 / float(run @ run)))
    covariance = -float(at.mean()) * slope_u**2
    return StraightLine(
        intercept=intercept,
        slope=slope,
        intercept_u=intercept_u,
        slope_u=slope_u,
        correlation=covariance / (intercept_u * slope_u) if variance > 0 else 0.0,
        scatter=math.sqrt(variance),
        freedoms=freedoms,
        origin=origin,
    )
