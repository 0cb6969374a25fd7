"""The scale: indicated value to dial angle, and back.

A scale never extrapolates. What lies outside is refused, or clamped by name.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from gaugecore.errors import DesignError
from gaugecore.values import DialAngle, Part, Quantity

#: A needle that goes round more than once needs a scale that says so.
ONE_TURN_DEG = 360.0


class LinearScale(Part):
    """Value and dial angle in proportion; ``low_deg`` above ``high_deg`` runs counter-clockwise."""

    kind: Literal["linear"] = "linear"
    low_value: Quantity
    high_value: Quantity
    low_deg: DialAngle
    high_deg: DialAngle

    @model_validator(mode="after")
    def _can_be_read(self) -> Self:
        _check_points(((self.low_value, self.low_deg), (self.high_value, self.high_deg)))
        return self

    @property
    def points(self) -> tuple[tuple[float, float], ...]:
        """Return the (value, dial angle) pairs that the scale joins by straight lines."""
        return ((self.low_value, self.low_deg), (self.high_value, self.high_deg))


class PiecewiseScale(Part):
    """Straight pieces through (value, dial angle) pairs, values rising, angles all one way."""

    kind: Literal["piecewise"] = "piecewise"
    points: Annotated[tuple[tuple[Quantity, DialAngle], ...], Field(min_length=2, max_length=200)]

    @model_validator(mode="after")
    def _can_be_read(self) -> Self:
        _check_points(self.points)
        return self


Scale = Annotated[LinearScale | PiecewiseScale, Field(discriminator="kind")]


def _check_points(points: tuple[tuple[float, float], ...]) -> None:
    for (value, deg), (next_value, next_deg) in pairwise(points):
        if not next_value > value:
            raise ValueError(f"values must rise along a scale, but {next_value:g} follows {value:g}")
        if next_deg == deg:
            raise ValueError(
                f"the values {value:g} and {next_value:g} share the dial angle {deg:g}°; each needs its own"
            )
    angles = [deg for _, deg in points]
    rising = [b > a for a, b in pairwise(angles)]
    if any(rising) and not all(rising):
        raise ValueError(
            "dial angles must run all one way along a scale, but they turn round at "
            f"{points[rising.index(not rising[0])][0]:g}"
        )
    span_deg = abs(angles[-1] - angles[0])
    if span_deg > ONE_TURN_DEG:
        raise ValueError(
            f"the arc from {angles[0]:g}° to {angles[-1]:g}° spans {span_deg:g}°; "
            f"a single-turn dial has at most {ONE_TURN_DEG:g}°"
        )


def value_range(scale: LinearScale | PiecewiseScale) -> tuple[float, float]:
    """Return the lowest and the highest value of a scale."""
    return scale.points[0][0], scale.points[-1][0]


def angle_range_deg(scale: LinearScale | PiecewiseScale) -> tuple[float, float]:
    """Return the smallest and the largest dial angle of a scale, in this order."""
    ends = scale.points[0][1], scale.points[-1][1]
    return min(ends), max(ends)


def angle_deg(scale: LinearScale | PiecewiseScale, value: float) -> float:
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
    if not low <= value <= high:
        raise DesignError("a value lies outside the scale", found=value, accepted=f"{low:g} to {high:g}")
    values, angles = zip(*scale.points, strict=True)
    return float(np.interp(value, values, angles))


def clamped_angle_deg(scale: LinearScale | PiecewiseScale, value: float) -> float:
    """Return the dial angle of the nearest value that the scale has."""
    low, high = value_range(scale)
    return angle_deg(scale, min(max(value, low), high))


def value_at(scale: LinearScale | PiecewiseScale, dial_deg: float) -> float:
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
    if not low_deg <= dial_deg <= high_deg:
        raise DesignError(
            "a dial angle lies outside the scale", found=dial_deg, accepted=f"{low_deg:g}° to {high_deg:g}°"
        )
    points = sorted(scale.points, key=lambda point: point[1])
    values, angles = zip(*points, strict=True)
    return float(np.interp(dial_deg, angles, values))
