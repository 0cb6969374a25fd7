"""How large things look: sizes as angles at the eye, computed and not by rounded factors."""

from __future__ import annotations

import math

ARCMIN_PER_DEG = 60.0


def arcmin_of(height_mm: float, distance_mm: float) -> float:
    """Return the angle that a height covers at a distance, in minutes of arc.

    Examples
    --------
    >>> round(arcmin_of(4.072, 700.0), 2)
    20.0
    """
    return 2.0 * math.degrees(math.atan2(height_mm, 2.0 * distance_mm)) * ARCMIN_PER_DEG


def height_for_mm(arcmin: float, distance_mm: float) -> float:
    """Return the height that covers an angle at a distance: h = 2 d tan(angle / 2).

    Examples
    --------
    >>> round(height_for_mm(20.0, 700.0), 3)
    4.072
    """
    return 2.0 * distance_mm * math.tan(math.radians(arcmin / ARCMIN_PER_DEG) / 2.0)
