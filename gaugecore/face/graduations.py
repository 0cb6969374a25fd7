"""Which values carry a graduation, and which a numeral.

Values are whole multiples of a step, counted in decimal, so that thirty steps of 0.1 make 3 and not
3.0000000000000004. What lies beyond the scale is left out; a value is drawn once, at the highest rank it has.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal
from enum import Enum
from typing import Final, TypeVar

from gaugecore.errors import DesignError
from gaugecore.face.face import Face, GraduationStyle, Numerals
from gaugecore.face.scale import angle_deg, value_range

#: More marks than any ring can hold apart.
MOST_MARKS: Final = 3600
#: Two marks closer than this stand on the same place, as 0 and 360 do on a dial that goes all round.
_SAME_PLACE_DEG: Final = 1e-6
#: Wide enough for any double written out.
_EXACT: Final = Context(prec=60)
MINUS: Final = "\u2212"


class Rank(Enum):
    """How important a graduation is; the highest rank a value has wins."""

    MAJOR = "major"
    INTERMEDIATE = "intermediate"
    MINOR = "minor"


@dataclass(frozen=True, slots=True, kw_only=True)
class Graduation:
    """One graduation: its value, its rank, and the dial angle it stands at."""

    value: float
    rank: Rank
    dial_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Numeral:
    """One numeral: the value, what is written, and the dial angle it stands at."""

    value: float
    text: str
    dial_deg: float


Mark = TypeVar("Mark", Graduation, Numeral)


def multiples(step: float, low: float, high: float, *, where: str) -> list[float]:
    """Return the whole multiples of a step from ``low`` to ``high``, rising, without drift.

    Raises
    ------
    DesignError
        If there are more than `MOST_MARKS`.

    Examples
    --------
    >>> multiples(0.1, -0.25, 0.35, where="")
    [-0.2, -0.1, 0.0, 0.1, 0.2, 0.3]
    """
    exact = Decimal(repr(step))
    # judged in floating point first: a tiny step must not count up to a googol in decimal
    if (high - low) / step > MOST_MARKS:
        raise DesignError(
            "the step makes more marks than a ring can hold",
            where=where,
            found=step,
            accepted=f"at least {(high - low) / MOST_MARKS:g}",
        )
    first = math.ceil(_EXACT.divide(Decimal(repr(low)), exact))
    last = math.floor(_EXACT.divide(Decimal(repr(high)), exact))
    return [float(_EXACT.multiply(exact, Decimal(n))) for n in range(first, last + 1)]


def graduations_of(face: Face) -> tuple[Graduation, ...]:
    """Return all graduations of a face, in rising order of value."""
    rings = face.graduations
    low, high = value_range(face.scale)
    ranked = (
        (Rank.MAJOR, rings.major_step, "graduations.major_step"),
        (Rank.INTERMEDIATE, rings.intermediate_step, "graduations.intermediate_step"),
        (Rank.MINOR, rings.minor_step, "graduations.minor_step"),
    )
    chosen: dict[float, Rank] = {}
    for rank, step, where in ranked:
        for value in [] if step is None else multiples(step, low, high, where=where):
            chosen.setdefault(value, rank)
    in_order = [
        Graduation(value=value, rank=rank, dial_deg=angle_deg(face.scale, value))
        for value, rank in sorted(chosen.items())
    ]
    return tuple(_without_meeting_ends(in_order))


def style_of(face: Face, rank: Rank) -> GraduationStyle:
    """Return how a rank is drawn on a face."""
    return {
        Rank.MAJOR: face.graduations.major,
        Rank.INTERMEDIATE: face.graduations.intermediate,
        Rank.MINOR: face.graduations.minor,
    }[rank]


def numerals_of(face: Face) -> tuple[Numeral, ...]:
    """Return all numerals of a face, in rising order of value; those without text are left out."""
    if face.numerals is None:
        return ()
    low, high = value_range(face.scale)
    texts = dict(face.numerals.texts)
    step, where = face.numerals.step, "numerals.step"
    if step is None:
        step, where = face.graduations.major_step, "graduations.major_step"
    values = set(multiples(step, low, high, where=where))
    values.update(value for value in texts if low <= value <= high)
    in_order = [
        Numeral(
            value=value,
            text=texts[value] if value in texts else figure(value, face.numerals),
            dial_deg=angle_deg(face.scale, value),
        )
        for value in sorted(values)
    ]
    return tuple(n for n in _without_meeting_ends(in_order) if n.text.strip())


def figure(value: float, numerals: Numerals) -> str:
    """Return the figure a numeral shows for a value.

    Examples
    --------
    >>> figure(-0.04, Numerals(radius_mm=20, height_mm=3, decimals=1))
    '0.0'
    >>> figure(-1500, Numerals(radius_mm=20, height_mm=3, divisor=100.0))
    '−15'
    """
    shown = _EXACT.divide(Decimal(repr(value)), Decimal(repr(numerals.divisor)))
    rounded = shown.quantize(Decimal(1).scaleb(-numerals.decimals), rounding=ROUND_HALF_EVEN, context=_EXACT)
    sign = MINUS if rounded < 0 and not numerals.unsigned else ""
    return f"{sign}{abs(rounded):f}"


def _without_meeting_ends(marks: list[Mark]) -> list[Mark]:
    """Return marks without the last one where it stands on the first, a whole turn on."""
    if len(marks) > 1:
        apart_deg = abs(marks[-1].dial_deg - marks[0].dial_deg)
        if abs(apart_deg - 360.0) < _SAME_PLACE_DEG:
            return marks[:-1]
    return marks
