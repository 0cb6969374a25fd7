"""Linearity: how far a curve strays from a straight line, by the line that is drawn (ISA-51.1, from memory).

Independent: the line that makes the largest deviation smallest. Terminal-based: the line through both ends.
Zero-based: the line through the lower end that makes the largest deviation smallest.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gaugecore.calibration.observations import Floats
from gaugecore.calibration.straight_line import fit_line
from gaugecore.errors import FitError
from gaugecore.values import Part


class Line(Part):
    """A line through a curve and how far the curve strays from it."""

    slope: float
    intercept: float
    largest_deviation: float
    percent_of_span: float


class Linearity(Part):
    """The three linearities, and the least-squares line beside them."""

    independent: Line
    terminal: Line
    zero_based: Line
    least_squares: Line


def linearity(x: ArrayLike, y: ArrayLike) -> Linearity:
    """Return the linearities of points.

    Parameters
    ----------
    x, y : array_like, shape (n,)
        At least 3 points with at least 2 different ``x``; the span is that of ``y``.

    Raises
    ------
    FitError
        If there are too few points, or ``x`` or ``y`` do not vary.
    """
    at, value = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    if at.size < 3 or at.size != value.size or np.ptp(at) == 0 or np.ptp(value) == 0:
        raise FitError(
            "linearity needs points that vary",
            found=f"{at.size} points",
            accepted="at least 3 along the range",
        )
    order = np.argsort(at, kind="stable")
    at, value = at[order], value[order]
    slope = float((value[-1] - value[0]) / (at[-1] - at[0]))
    best = fit_line(at, value)
    lines = {
        "terminal": (slope, float(value[0] - slope * at[0])),
        "independent": _independent(at, value),
        "zero_based": _zero_based(at, value),
        "least_squares": (best.slope, best.intercept),
    }
    return Linearity(**{name: _measured(at, value, *line) for name, line in lines.items()})


def _measured(at: Floats, value: Floats, slope: float, intercept: float) -> Line:
    largest = float(np.abs(value - intercept - slope * at).max())
    return Line(
        slope=slope,
        intercept=intercept,
        largest_deviation=largest,
        percent_of_span=100.0 * largest / float(np.ptp(value)),
    )


def _independent(at: Floats, value: Floats) -> tuple[float, float]:
    """Return the line whose largest deviation is smallest."""
    # scaled so that the solver sees numbers near 1
    scale, middle = float(np.ptp(at)), float(at.mean())
    t = (at - middle) / scale
    slope, intercept = _smallest_largest(np.column_stack([t, np.ones_like(t)]), value)
    return slope / scale, intercept - slope / scale * middle


def _zero_based(at: Floats, value: Floats) -> tuple[float, float]:
    """Return the line through the lower end whose largest deviation is smallest."""
    scale = float(np.ptp(at))
    (slope,) = _smallest_largest(((at - at[0]) / scale)[:, None], value - value[0])
    return slope / scale, float(value[0] - slope / scale * at[0])


def _smallest_largest(terms: Floats, value: Floats) -> list[float]:
    """Return the factors of the terms that make the largest deviation smallest: a linear programme."""
    from scipy.optimize import linprog

    one = np.ones((value.size, 1))
    rows = np.concatenate([np.hstack([-terms, -one]), np.hstack([terms, -one])])
    cost = np.append(np.zeros(terms.shape[1]), 1.0)
    free = [(None, None)] * terms.shape[1]
    found = linprog(cost, A_ub=rows, b_ub=np.concatenate([-value, value]), bounds=[*free, (0, None)])
    if found.x is None:
        raise FitError("no straight line can be drawn through the points", found=found.message)
    return [float(factor) for factor in found.x[:-1]]
