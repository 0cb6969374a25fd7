"""Dial angles and sheet coordinates; the only module that knows radians.

A dial angle is in degrees, zero at twelve o'clock, clockwise positive, and runs on past 360. Sheet
coordinates are in millimetres with the pivot at the origin and y up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Number = TypeVar("Number", float, NDArray[np.float64])


def dial_to_xy_mm(dial_deg: float, radius_mm: float, centre_mm: Point = (0.0, 0.0)) -> Point:
    """Return the point on a circle at a dial angle.

    Examples
    --------
    >>> x_mm, y_mm = dial_to_xy_mm(90.0, radius_mm=40.0)   # three o'clock
    >>> round(x_mm, 9), round(abs(y_mm), 9)
    (40.0, 0.0)
    """
    math_rad = math.radians(90.0 - dial_deg)
    return centre_mm[0] + radius_mm * math.cos(math_rad), centre_mm[1] + radius_mm * math.sin(math_rad)


def dials_to_xy_mm(dials_deg: Sequence[float], radius_mm: float) -> list[Point]:
    """Return the points on a circle about the pivot at many dial angles, in one go.

    Examples
    --------
    >>> [(round(x_mm, 9), round(y_mm, 9)) for x_mm, y_mm in dials_to_xy_mm([90.0, 0.0], radius_mm=40.0)]
    [(40.0, 0.0), (0.0, 40.0)]
    """
    math_rad = np.radians(90.0 - np.asarray(dials_deg, dtype=float))
    across, up = radius_mm * np.cos(math_rad), radius_mm * np.sin(math_rad)
    return list(zip(across.tolist(), up.tolist(), strict=True))


def xy_mm_to_dial(x_mm: float, y_mm: float) -> tuple[float, float]:
    """Return the dial angle, in [0, 360), and the radius of a point.

    Examples
    --------
    >>> xy_mm_to_dial(0.0, -20.0)
    (180.0, 20.0)
    """
    return (90.0 - math.degrees(math.atan2(y_mm, x_mm))) % 360.0, math.hypot(x_mm, y_mm)


def arc_length_mm(radius_mm: float, span_deg: float) -> float:
    """Return the length of an arc.

    Examples
    --------
    >>> round(arc_length_mm(30.0, 30.0), 3)
    15.708
    """
    return radius_mm * math.radians(abs(span_deg))


def bulge_of(span_deg: float) -> float:
    """Return the DXF bulge of an arc that turns by a dial angle, clockwise positive.

    A bulge is the tangent of a quarter of the included angle, counter-clockwise positive, so the sign
    turns round here.

    Examples
    --------
    >>> round(bulge_of(-180.0), 9)   # a half circle, counter-clockwise
    1.0
    """
    return math.tan(math.radians(-span_deg) / 4.0)


def span_of_bulge(bulge: float) -> float:
    """Return the dial angle that an arc with a DXF bulge turns by, clockwise positive.

    Examples
    --------
    >>> round(span_of_bulge(1.0), 9)
    -180.0
    """
    return -4.0 * math.degrees(math.atan(bulge))


def chord_span_deg(radius_mm: float, sagitta_mm: float) -> float:
    """Return the angle of the chord that leaves its arc by no more than a sagitta.

    Examples
    --------
    >>> round(chord_span_deg(10.0, 10.0), 6)
    180.0
    """
    return 2.0 * math.degrees(math.acos(max(0.0, 1.0 - sagitta_mm / radius_mm)))


def turned(point_mm: tuple[Number, Number], dial_deg: float) -> tuple[Number, Number]:
    """Return a point, or many as an array of x and one of y, turned clockwise about the pivot.

    Examples
    --------
    >>> x_mm, y_mm = turned((0.0, 10.0), 90.0)
    >>> round(x_mm, 9), round(abs(y_mm), 9)
    (10.0, 0.0)
    """
    rad = math.radians(dial_deg)
    x_mm, y_mm = point_mm
    across, up = math.sin(rad), math.cos(rad)
    return x_mm * up + y_mm * across, y_mm * up - x_mm * across
