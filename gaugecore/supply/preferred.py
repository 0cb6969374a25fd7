"""Preferred values: the E-series that resistors come in.

E6, E12 and E24 are a table since history rounded them (E24 leaves its own formula at eight places); E96
follows its formula without exception. Source: published list of preferred values; IEC 60063 not seen.
"""

from __future__ import annotations

import math
from enum import Enum

from gaugecore.errors import DesignError

_E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
#: Values differ by a per cent or more; this much is rounding, so that 510.0000001 is 510.
_SAME = 1e-9


class Series(Enum):
    """How finely the values lie, by their number in a decade."""

    E6 = 6
    E12 = 12
    E24 = 24
    E96 = 96


def values(series: Series) -> tuple[float, ...]:
    """Return one decade of a series, from 10 up to below 100.

    Examples
    --------
    >>> values(Series.E6)
    (10.0, 15.0, 22.0, 33.0, 47.0, 68.0)
    >>> values(Series.E96)[1]
    10.2
    """
    if series is Series.E96:
        return tuple(round(100.0 * 10.0 ** (i / 96.0)) / 10.0 for i in range(96))
    return tuple(float(value) for value in _E24[:: 24 // series.value])


def next_value(ohm: float, series: Series = Series.E24) -> float:
    """Return the smallest value of a series that is not below a resistance.

    Raises
    ------
    DesignError
        If the resistance is not more than zero.

    Examples
    --------
    >>> next_value(145.0), next_value(150.0), next_value(950.0), next_value(0.34, Series.E12)
    (150.0, 150.0, 1000.0, 0.39)
    """
    if not (ohm > 0 and math.isfinite(ohm)):
        raise DesignError("a resistance must be more than zero", found=ohm, accepted="more than 0 Ω")
    decade = math.floor(math.log10(ohm)) - 1
    for power in (decade, decade + 1):
        for value in values(series):
            # through text, so that 39 × 10⁻² is 0.39 and not 0.39000000000000001
            candidate = float(f"{value:g}e{power}")
            if candidate >= ohm * (1.0 - _SAME):
                return candidate
    raise AssertionError("the next decade starts above every value of this one")
