"""Steps of graduation: their multiples, and the choice of 1, 2 or 5 by arc length and viewing distance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Final

from gaugecore.drawing.lettering import width_mm
from gaugecore.errors import DesignError
from gaugecore.face.face import Ends, Numerals
from gaugecore.face.scale import LogarithmicScale, drawn_range
from gaugecore.face.scale_rings import Marked, Ring, RingScale, exact
from gaugecore.polar import arc_length_mm

#: More marks than any ring can hold apart.
MOST_MARKS: Final = 3600
MOST_NUMERALS: Final = 360
#: Least spacing of graduations in good light at 710 mm, human engineering handbooks, from memory.
_SPACING_MM, _SPACING_AT_MM = 0.89, 710.0
#: Clear room a numeral wants beside it, against its height; common practice, no source.
_NUMERAL_ROOM: Final = 0.2
_FEWEST_MAJOR: Final = 2
_MOST_MAJOR: Final = 13
#: As many as a numeral may have.
MOST_DECIMALS: Final = 6
#: What a major step may be divided into so that lesser steps are 1, 2 or 5 too: lesser, then the one between.
_DIVISIONS: Final = {
    1: ((10, 2), (5, None), (2, None)),
    2: ((10, 2), (4, 2), (2, None)),
    5: ((10, 5), (5, None)),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """The steps of a ring, from the greatest down; None for a rank that is not drawn."""

    major: float
    intermediate: float | None
    minor: float | None


#: In units of a decade; lesser graduations give way where they crowd.
_IN_DECADES: Final = (
    Steps(major=1.0, intermediate=0.5, minor=0.1),
    Steps(major=5.0, intermediate=1.0, minor=0.5),
    Steps(major=10.0, intermediate=5.0, minor=1.0),
)


def least_spacing_mm(viewing_distance_mm: float) -> float:
    """Return the least spacing at which graduations are told apart; it grows with the distance."""
    return _SPACING_MM * viewing_distance_mm / _SPACING_AT_MM


def steps_of(ring: Ring) -> Steps:
    """Return the steps of a ring: those given, or those chosen for it."""
    if ring.graduations.automatic:
        return _chosen(ring)
    rings = ring.graduations
    return Steps(major=rings.major_step, intermediate=rings.intermediate_step, minor=rings.minor_step)


def multiples(step: float, low: Fraction, high: Fraction, *, where: str, most: int = MOST_MARKS) -> Marked:
    """Return the whole multiples of a step from ``low`` to ``high``, rising, without drift.

    Raises
    ------
    DesignError
        If there are more than ``most``.

    Examples
    --------
    >>> [float(n) for n in multiples(0.1, exact(-0.25), exact(0.35), where="").fractions()]
    [-0.2, -0.1, 0.0, 0.1, 0.2, 0.3]
    """
    unit = exact(step)
    if (high - low) / unit > most:
        raise DesignError(
            "the step makes more marks than a ring can hold",
            where=where,
            found=step,
            accepted=f"at least {float(high - low) / most:g}",
        )
    counted = range(math.ceil(low / unit), math.floor(high / unit) + 1)
    return Marked([n * unit.numerator for n in counted], unit.denominator)


def marked(ring: RingScale, step: float, *, where: str, most: int = MOST_MARKS) -> Marked:
    """Return the values a step marks on a ring; by decades on a logarithmic scale."""
    low, high = ring.bounds
    decade = _lowest_decade(ring)
    if decade is None:
        return multiples(step, low, high, where=where, most=most)
    in_decade = multiples(step, Fraction(1), Fraction(10), where=where, most=most).fractions()
    found: set[Fraction] = set()
    while decade <= high:
        found.update(decade * n for n in (Fraction(1), *in_decade))
        decade *= 10
    values = sorted(value for value in found if low <= value <= high)
    denominator = math.lcm(*(value.denominator for value in values))
    return Marked([int(value * denominator) for value in values], denominator)


def _lowest_decade(ring: RingScale) -> Fraction | None:
    """Return the power of ten that the lowest value of a logarithmic ring counts by, None on any other."""
    low, _ = ring.bounds
    if not isinstance(ring.scale, LogarithmicScale) or low <= 0:
        return None
    return Fraction(10) ** math.floor(math.log10(low))


def _chosen(ring: Ring) -> Steps:
    if _lowest_decade(ring) is not None:
        return _chosen_by_decades(ring)
    low, high = (float(end) for end in ring.bounds)
    start_deg, end_deg = (ring.scale.points[0][1], ring.scale.points[-1][1])
    turns = (drawn_range(ring.scale)[1] - drawn_range(ring.scale)[0]) / (
        ring.scale.points[-1][0] - ring.scale.points[0][0]
    )
    span_deg = abs(end_deg - start_deg) * turns
    least_mm = least_spacing_mm(ring.viewing_distance_mm)
    inner_mm = _inner_ends_mm(ring)

    def spacing_mm(step: float, radius_mm: float) -> float:
        return arc_length_mm(radius_mm, span_deg * step / (high - low))

    candidates = _candidates((high - low) / _MOST_MAJOR)
    for digit, major in candidates:
        if spacing_mm(major, _numeral_radius_mm(ring)) < _numeral_room_mm(ring, low, high, major):
            continue
        for division, between in _DIVISIONS[digit]:
            if spacing_mm(major / division, inner_mm) >= least_mm:
                return Steps(
                    major=major,
                    intermediate=None if between is None else float(exact(major) / between),
                    minor=float(exact(major) / division),
                )
        return Steps(major=major, intermediate=None, minor=None)
    # no step leaves room for these numerals; the widest serves, and `check_face` says that they collide
    return Steps(major=candidates[-1][1], intermediate=None, minor=None)


def _inner_ends_mm(ring: Ring) -> float:
    """Return the radius of the inner ends of minor graduations, where they stand closest."""
    rings = ring.graduations
    length_mm = rings.minor.length_mm if rings.aligned is Ends.OUTER else rings.major.length_mm
    return max(rings.outer_radius_mm - length_mm, 1.0)


def _chosen_by_decades(ring: Ring) -> Steps:
    """Return the finest steps whose numerals keep apart where they stand closest."""
    low, high = (float(end) for end in ring.bounds)
    numbered = [
        (steps, at_deg) for steps in _IN_DECADES if len(at_deg := _majors_deg(ring, steps)) >= _FEWEST_MAJOR
    ]
    for steps, at_deg in numbered:
        apart_deg = min(abs(other - one) for one, other in pairwise(at_deg))
        apart_mm = arc_length_mm(_numeral_radius_mm(ring), apart_deg)
        if len(at_deg) <= _MOST_MAJOR and apart_mm >= _numeral_room_mm(ring, low, high, steps.major):
            return steps
    # crowded numerals can be read, and a single one says nothing
    return numbered[-1][0] if numbered else _IN_DECADES[0]


def _majors_deg(ring: Ring, steps: Steps) -> list[float]:
    return ring.dials_deg(marked(ring, steps.major, where=""))


def _candidates(least: float) -> list[tuple[int, float]]:
    """Return 1, 2 and 5 times the powers of ten from a least step on, rising."""
    power = math.floor(math.log10(least))
    steps = [
        (digit, float(digit * Fraction(10) ** n)) for n in range(power, power + 8) for digit in (1, 2, 5)
    ]
    return [(digit, step) for digit, step in steps if step >= least * (1.0 - 1e-9)]


def _numeral_radius_mm(ring: Ring) -> float:
    return ring.graduations.outer_radius_mm if ring.numerals is None else ring.numerals.radius_mm


def decimals_for(ring: Ring, step: float) -> int:
    """Return how many decimals the numerals of a ring need to show a step, no fewer than asked for."""
    if ring.numerals is None:
        return 0
    decade = _lowest_decade(ring)
    finest = exact(step) if decade is None else decade
    return max(ring.numerals.decimals, decimals_of(float(finest), ring.numerals))


def decimals_of(value: float, numerals: Numerals) -> int:
    """Return how many decimals a numeral needs to show a value, as far as it may have them."""
    shown = Decimal(repr(float(value))) / Decimal(repr(numerals.divisor))
    exponent = shown.normalize().as_tuple().exponent
    needed = -exponent if isinstance(exponent, int) else 0
    return min(max(needed, 0), MOST_DECIMALS)


def _numeral_room_mm(ring: Ring, low: float, high: float, step: float) -> float:
    """Return how far apart numerals must stand: the longest one, and some clear ground."""
    if ring.numerals is None:
        return 0.0
    height_mm, decimals = ring.numerals.height_mm, decimals_for(ring, step)
    longest = max((f"{end / ring.numerals.divisor:.{decimals}f}" for end in (low, high)), key=len)
    return width_mm(longest, height_mm=height_mm) + _NUMERAL_ROOM * height_mm
