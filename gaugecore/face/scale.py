"""The scale: indicated value to dial angle, and back.

A scale never extrapolates. What lies outside is refused, or clamped by name; a circular scale has no outside.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gaugecore.errors import DesignError
from gaugecore.face.scale_kinds import (
    ONE_TURN_DEG,
    AnyScale,
    CircularScale,
    LinearScale,
    LogarithmicScale,
    MultiTurnScale,
    PiecewiseScale,
    PowerScale,
    Scale,
    TableScale,
)

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

__all__ = [
    "ONE_TURN_DEG",
    "AnyScale",
    "CircularScale",
    "LinearScale",
    "LogarithmicScale",
    "MultiTurnScale",
    "PiecewiseScale",
    "PowerScale",
    "Scale",
    "TableScale",
    "angle_deg",
    "angle_range_deg",
    "angles_deg",
    "clamped_angle_deg",
    "drawn_range",
    "is_even",
    "slow_angle_deg",
    "value_at",
    "value_range",
]

Array = NDArray[np.float64]


def value_range(scale: AnyScale) -> tuple[float, float]:
    """Return the lowest and the highest value of a scale."""
    return scale.points[0][0], scale.points[-1][0]


def drawn_range(scale: AnyScale) -> tuple[float, float]:
    """Return the values that are drawn: all of them, or those of one turn.

    Of many turns it is the one from zero on, if the scale has it, or else the first.

    Examples
    --------
    >>> drawn_range(MultiTurnScale(low_value=-1000, high_value=9000, value_per_turn=1000))
    (0.0, 1000.0)
    """
    low, high = value_range(scale)
    if not isinstance(scale, MultiTurnScale):
        return low, high
    # its figures are read on every turn: 200 is 1200 too, as 1200 would not be 200
    start = 0.0 if low <= 0.0 <= high - scale.value_per_turn else low
    return start, min(high, start + scale.value_per_turn)


def angle_range_deg(scale: AnyScale) -> tuple[float, float]:
    """Return the smallest and the largest dial angle of a scale, in this order."""
    ends = scale.points[0][1], scale.points[-1][1]
    return min(ends), max(ends)


def is_even(scale: AnyScale) -> bool:
    """Return whether equal steps of value make equal steps of angle all along the scale."""
    return isinstance(scale, (LinearScale, CircularScale, MultiTurnScale))


def angle_deg(scale: AnyScale, value: float) -> float:
    """Return the dial angle of a value.

    Raises
    ------
    DesignError
        If the value lies outside the scale.

    Examples
    --------
    >>> rudder = LinearScale(low_value=-35, high_value=35, low_deg=-105, high_deg=105)
    >>> angle_deg(rudder, 10)
    30.0
    """
    low, high = value_range(scale)
    if isinstance(scale, CircularScale) and not low <= value <= high:
        value = low + (value - low) % (high - low)
    if not low <= value <= high:
        raise DesignError("a value lies outside the scale", found=value, accepted=f"{low:g} to {high:g}")
    return float(angles_deg(scale, value))


def clamped_angle_deg(scale: AnyScale, value: float) -> float:
    """Return the dial angle of the nearest value that the scale has."""
    low, high = value_range(scale)
    return angle_deg(scale, min(max(value, low), high))


def angles_deg(scale: AnyScale, values: ArrayLike) -> Array:
    """Return the dial angles of many values at once; those off the scale go to its nearest end.

    Parameters
    ----------
    scale : scale
        Any kind.
    values : array_like
        Of any shape.

    Returns
    -------
    ndarray
        Of the same shape.
    """
    low, high = value_range(scale)
    inside = np.clip(np.asarray(values, dtype=float), low, high)
    if isinstance(scale, TableScale):
        # a cubic leaves dust at the ends of its last piece
        curve = np.where(inside == high, scale.points[-1][1], _curve(scale)(inside))
        return np.asarray(np.clip(curve, *angle_range_deg(scale)))
    if isinstance(scale, (LogarithmicScale, PowerScale)):
        low_deg, high_deg = scale.points[0][1], scale.points[-1][1]
        # interpolated between the ends so that both come out exactly
        share = _share(scale, inside)
        return np.asarray(low_deg * (1.0 - share) + high_deg * share)
    anchors, angles = zip(*scale.points, strict=True)
    return np.asarray(np.interp(inside, anchors, angles))


def value_at(scale: AnyScale, dial_deg: float) -> float:
    """Return the value at a dial angle.

    Raises
    ------
    DesignError
        If the angle lies outside the scale's arc.

    Examples
    --------
    >>> rudder = LinearScale(low_value=-35, high_value=35, low_deg=-105, high_deg=105)
    >>> value_at(rudder, 30.0)
    10.0
    """
    low_deg, high_deg = angle_range_deg(scale)
    if isinstance(scale, CircularScale) and not low_deg <= dial_deg <= high_deg:
        dial_deg = low_deg + (dial_deg - low_deg) % ONE_TURN_DEG
    if not low_deg <= dial_deg <= high_deg:
        raise DesignError(
            "a dial angle lies outside the scale", found=dial_deg, accepted=f"{low_deg:g}° to {high_deg:g}°"
        )
    if isinstance(scale, TableScale):
        return _value_on_curve(scale, dial_deg)
    if isinstance(scale, (LogarithmicScale, PowerScale)):
        (low, start_deg), (high, end_deg) = scale.points
        share = (dial_deg - start_deg) / (end_deg - start_deg)
        if isinstance(scale, LogarithmicScale):
            return float(low ** (1.0 - share) * high**share)
        return float(low + (high - low) * share ** (1.0 / scale.exponent))
    points = sorted(scale.points, key=lambda point: point[1])
    values, angles = zip(*points, strict=True)
    return float(np.interp(dial_deg, angles, values))


def slow_angle_deg(scale: MultiTurnScale, value: float) -> float | None:
    """Return the dial angle of the second, slower pointer; None when there is none.

    Both pointers stand together where the figures of the dial begin.

    Examples
    --------
    >>> tank = MultiTurnScale(high_value=10000, value_per_turn=1000, slow_pointer_ratio=10)
    >>> angle_deg(tank, 2500), slow_angle_deg(tank, 2500)
    (900.0, 90.0)
    """
    if scale.slow_pointer_ratio is None:
        return None
    start_deg = angle_deg(scale, drawn_range(scale)[0])
    return start_deg + (angle_deg(scale, value) - start_deg) / scale.slow_pointer_ratio


def _share(scale: LogarithmicScale | PowerScale, values: Array) -> Array:
    (low, _), (high, _) = scale.points
    if isinstance(scale, LogarithmicScale):
        return np.asarray(np.log(values / low) / np.log(high / low))
    return np.asarray(((values - low) / (high - low)) ** scale.exponent)


@lru_cache(maxsize=64)
def _curve(scale: TableScale) -> PchipInterpolator:
    """Return the monotone cubic of Fritsch and Carlson through the points, by scipy."""
    from scipy.interpolate import PchipInterpolator

    values, angles = zip(*scale.points, strict=True)
    return PchipInterpolator(values, angles)


def _value_on_curve(scale: TableScale, dial_deg: float) -> float:
    from scipy.optimize import brentq

    curve = _curve(scale)
    low, high = value_range(scale)
    if dial_deg in (scale.points[0][1], scale.points[-1][1]):
        return low if dial_deg == scale.points[0][1] else high
    return float(brentq(lambda value: float(curve(value)) - dial_deg, low, high, xtol=1e-300, rtol=1e-15))
