"""The accuracy class a dial earns, by EN 837-1: the largest permissible error in percent of span.

A class index is a promise for every point of the scale, so it is told twice: the class the dial earns surely
and the one it probably earns, by the fit's own uncertainty.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from gaugecore.values import Part

#: EN 837-1:1996, table 11; in percent of span.
CLASSES = (0.1, 0.25, 0.6, 1.0, 1.6, 2.5, 4.0)
_SURELY, _PROBABLY = 0.95, 0.5
#: Points along the arc whose errors are as good as independent: a bend reaches over about a tenth of it.
_INDEPENDENT_POINTS = 10


class AccuracyClass(Part):
    """Class indices, None when the dial earns not even the coarsest.

    Attributes
    ----------
    surely : float or None
        The finest class whose limit is kept everywhere with at least 95 % probability.
    probably : float or None
        The same with at least 50 %.
    error_percent_95, error_percent_50 : float
        Limits, in percent of span, kept everywhere with these probabilities.
    """

    surely: float | None
    probably: float | None
    error_percent_95: float
    error_percent_50: float


def accuracy_class(standard_uncertainty_deg: ArrayLike, *, span_deg: float) -> AccuracyClass:
    """Return the class that a dial earns.

    Parameters
    ----------
    standard_uncertainty_deg : array_like, shape (n,)
        Of the needle, along the arc.
    span_deg : float
        Dial angle that the scale covers.

    Examples
    --------
    >>> earned = accuracy_class([0.3] * 33, span_deg=150.0)
    >>> earned.surely, earned.probably
    (0.6, 0.6)
    """
    u = np.asarray(standard_uncertainty_deg, dtype=np.float64)
    sure, probable = (_limit_deg(u, chance) * 100.0 / span_deg for chance in (_SURELY, _PROBABLY))
    return AccuracyClass(
        surely=_class_of(sure), probably=_class_of(probable), error_percent_95=sure, error_percent_50=probable
    )


def _class_of(percent: float) -> float | None:
    return next((index for index in CLASSES if percent <= index), None)


def _limit_deg(u: np.ndarray, chance: float) -> float:
    """Return the limit that all errors keep with a probability, by bisection."""
    points = np.interp(np.linspace(0, u.size - 1, _INDEPENDENT_POINTS), np.arange(u.size), u)
    low, high = 0.0, 10.0 * float(points.max()) + 1e-9
    for _ in range(60):
        middle = (low + high) / 2.0
        kept = math.prod(math.erf(middle / (math.sqrt(2.0) * max(float(p), 1e-12))) for p in points)
        low, high = (middle, high) if kept < chance else (low, middle)
    return high
