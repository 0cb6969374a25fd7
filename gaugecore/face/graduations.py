"""Which values carry a graduation, and which a numeral.

What lies beyond the scale is left out; a value is drawn once, at the highest rank it has. On an uneven scale
lesser graduations give way where they would crowd.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from decimal import ROUND_HALF_EVEN, Context, Decimal
from enum import Enum
from functools import lru_cache
from itertools import pairwise
from typing import Final, NamedTuple, TypeVar

from gaugecore.face.face import Ends, Face, GraduationStyle, Numerals, ScaleBreak, Thousands
from gaugecore.face.scale import LogarithmicScale, is_even
from gaugecore.face.scale_rings import Marked, Ring, RingScale, exact, rings_of
from gaugecore.face.steps import (
    MOST_NUMERALS,
    Steps,
    decimals_for,
    decimals_of,
    least_spacing_mm,
    marked,
    steps_of,
)
from gaugecore.polar import arc_length_mm

#: Two marks closer than this stand on the same place, as 0 and 360 do on a dial that goes all round.
_SAME_PLACE_DEG: Final = 1e-6
#: Wide enough for any double written out.
_EXACT: Final = Context(prec=60)
#: A face is asked for its marks by its drawing and by each of a dozen rules.
_FACES_KEPT: Final = 64
MINUS: Final = "\u2212"
#: The space is a narrow one that breaks no line.
_THOUSANDS: Final = {Thousands.NONE: "", Thousands.SPACE: "\u202f", Thousands.COMMA: ","}
#: Lesser graduations are halved, or every fifth is kept, before they are all left out.
_KEEP_EVERY: Final = (2, 5)


class Rank(Enum):
    """How important a graduation is; the highest rank a value has wins."""

    MAJOR = "major"
    INTERMEDIATE = "intermediate"
    MINOR = "minor"


class Graduation(NamedTuple):
    """One graduation: its value, its rank, and the dial angle it stands at."""

    value: float
    rank: Rank
    dial_deg: float


class Numeral(NamedTuple):
    """One numeral: the value, what is written, and the dial angle it stands at."""

    value: float
    text: str
    dial_deg: float


Mark = TypeVar("Mark", Graduation, Numeral)


def graduations_of(face: Face) -> tuple[Graduation, ...]:
    """Return all graduations of a face's first ring, in rising order of value."""
    return graduations_on(rings_of(face)[0], face)


@lru_cache(maxsize=_FACES_KEPT)
def graduations_on(ring: Ring, face: Face) -> tuple[Graduation, ...]:
    """Return all graduations of a ring, in rising order of value."""
    marks = _standing(ring.bare, steps_of(ring), face.breaks)
    if ring.graduations.thinned and not is_even(ring.scale):
        return tuple(_thinned(list(marks), ring))
    return marks


# while a radius or a length is dragged, the graduations stay at their angles
@lru_cache(maxsize=_FACES_KEPT)
def _standing(ring: RingScale, steps: Steps, breaks: tuple[ScaleBreak, ...]) -> tuple[Graduation, ...]:
    """Return the graduations that steps make, before any gives way to another."""
    ranked = ((Rank.MAJOR, steps.major), (Rank.INTERMEDIATE, steps.intermediate), (Rank.MINOR, steps.minor))
    found = [
        (rank, marked(ring, step, where=ring.where(f"graduations.{rank.value}_step")))
        for rank, step in ranked
        if step is not None
    ]
    denominator = math.lcm(*(values.denominator for _, values in found))
    chosen: dict[int, Rank] = {}
    for rank, values in found:
        times = denominator // values.denominator
        for numerator in values.numerators:
            chosen.setdefault(numerator * times, rank)
    standing = _outside(breaks, ring, Marked(sorted(chosen), denominator))
    in_order = [
        Graduation(value=numerator / denominator, rank=chosen[numerator], dial_deg=dial_deg)
        for numerator, dial_deg in zip(standing.numerators, ring.dials_deg(standing), strict=True)
    ]
    return tuple(_without_meeting_ends(in_order))


def style_of(face: Face, rank: Rank) -> GraduationStyle:
    """Return how a rank is drawn on a face's first ring."""
    return style_on(rings_of(face)[0], rank)


def style_on(ring: Ring, rank: Rank) -> GraduationStyle:
    """Return how a rank is drawn on a ring."""
    return {
        Rank.MAJOR: ring.graduations.major,
        Rank.INTERMEDIATE: ring.graduations.intermediate,
        Rank.MINOR: ring.graduations.minor,
    }[rank]


def radii_mm(ring: Ring, rank: Rank) -> tuple[float, float]:
    """Return the outer and the inner radius of the graduations of a rank."""
    rings, length_mm = ring.graduations, style_on(ring, rank).length_mm
    if rings.aligned is Ends.OUTER:
        return rings.outer_radius_mm, rings.outer_radius_mm - length_mm
    inner_mm = rings.outer_radius_mm - rings.major.length_mm
    return inner_mm + length_mm, inner_mm


def numerals_of(face: Face) -> tuple[Numeral, ...]:
    """Return all numerals of a face's first ring, in rising order of value."""
    return numerals_on(rings_of(face)[0], face)


@lru_cache(maxsize=_FACES_KEPT)
def numerals_on(ring: Ring, face: Face) -> tuple[Numeral, ...]:
    """Return all numerals of a ring, in rising order of value; those without text are left out."""
    style = numeral_style(ring)
    if style is None:
        return ()
    texts = {exact(value): text for value, text in style.texts}
    if style.step is None:
        step, where = steps_of(ring).major, ring.where("graduations.major_step")
    else:
        step, where = style.step, ring.where("numerals.step")
    values = marked(ring, step, where=where, most=MOST_NUMERALS)
    low, high = ring.bounds
    shown = values.with_others([value for value in texts if low <= value <= high])
    standing = _outside(face.breaks, ring, shown)
    denominator = standing.denominator
    written = {int(value * denominator): text for value, text in texts.items() if low <= value <= high}
    in_order = [
        Numeral(
            value=numerator / denominator,
            text=written[numerator]
            if numerator in written
            else _figure_on(ring, numerator / denominator, style),
            dial_deg=dial_deg,
        )
        for numerator, dial_deg in zip(standing.numerators, ring.dials_deg(standing), strict=True)
    ]
    return tuple(n for n in _without_meeting_ends(in_order) if n.text.strip())


def numeral_style(ring: Ring) -> Numerals | None:
    """Return how the numerals of a ring are written, None where it has none."""
    if ring.numerals is None or not ring.graduations.automatic or ring.numerals.step is not None:
        return ring.numerals
    # who leaves the step to us leaves the decimals to us too
    decimals = decimals_for(ring, steps_of(ring).major)
    return ring.numerals.model_copy(update={"decimals": decimals})


def _figure_on(ring: Ring, value: float, style: Numerals) -> str:
    """Return the figure at a value; where values rise by decades, none has more decimals than it needs."""
    if isinstance(ring.scale, LogarithmicScale):
        decimals = min(style.decimals, decimals_of(value, style))
        style = style.model_copy(update={"decimals": decimals})
    return figure(value, style)


def figure(value: float, numerals: Numerals) -> str:
    """Return the figure a numeral shows for a value.

    Examples
    --------
    >>> figure(-0.04, Numerals(radius_mm=20, height_mm=3, decimals=1))
    '0.0'
    >>> figure(-1500, Numerals(radius_mm=20, height_mm=3, divisor=100.0))
    '−15'
    """
    rounded = rounded_figure(value, numerals)
    sign = MINUS if rounded < 0 and not numerals.unsigned else "+" if rounded > 0 and numerals.plus else ""
    whole, _, part = f"{abs(rounded):,f}".partition(".")
    whole = whole.replace(",", _THOUSANDS[numerals.thousands])
    return sign + whole + (("," if numerals.decimal_comma else ".") + part if part else "")


def rounded_figure(value: float, numerals: Numerals) -> Decimal:
    """Return the number a numeral shows for a value."""
    shown = _EXACT.divide(Decimal(repr(float(value))), Decimal(repr(numerals.divisor)))
    return shown.quantize(Decimal(1).scaleb(-numerals.decimals), rounding=ROUND_HALF_EVEN, context=_EXACT)


def _outside(breaks: tuple[ScaleBreak, ...], ring: RingScale, values: Marked) -> Marked:
    """Return the values that do not lie in a break of the scale."""
    if not breaks:
        return values
    gaps = [(exact(gap.low_value), exact(gap.high_value)) for gap in breaks]
    on_first = [ring.of_first(value) for value in values.fractions()]
    kept = [
        numerator
        for numerator, value in zip(values.numerators, on_first, strict=True)
        if not any(low < value < high for low, high in gaps)
    ]
    return Marked(kept, values.denominator)


def _thinned(marks: list[Graduation], ring: Ring) -> list[Graduation]:
    """Return marks without the lesser ones that would stand too close, rank by rank."""
    for rank in (Rank.INTERMEDIATE, Rank.MINOR):
        radius_mm = max(radii_mm(ring, rank)[1], 0.0)

        def crowded(run: list[Graduation], radius_mm: float = radius_mm) -> bool:
            least_mm = least_spacing_mm(ring.viewing_distance_mm)
            return any(arc_length_mm(radius_mm, b.dial_deg - a.dial_deg) < least_mm for a, b in pairwise(run))

        higher = [mark for mark in marks if _higher(mark, rank)]
        kept = list(higher)
        fences = [None, *higher, None]
        for before, after in pairwise(fences):
            run = [m for m in marks if m.rank is rank and _between(m, before, after)]
            kept += _sparser(run, before, after, crowded)
        # lower ranks wait for their turn
        kept += [mark for mark in marks if not _higher(mark, rank) and mark.rank is not rank]
        marks = sorted(kept, key=lambda mark: mark.value)
    return marks


def _higher(mark: Graduation, rank: Rank) -> bool:
    order = list(Rank)
    return order.index(mark.rank) < order.index(rank)


def _between(mark: Graduation, before: Graduation | None, after: Graduation | None) -> bool:
    return (before is None or before.value < mark.value) and (after is None or mark.value < after.value)


def _sparser(
    run: list[Graduation],
    before: Graduation | None,
    after: Graduation | None,
    crowded: Callable[[list[Graduation]], bool],
) -> list[Graduation]:
    """Return the most of a run of like marks between two greater ones that does not crowd."""

    def fenced(part: list[Graduation]) -> list[Graduation]:
        return [m for m in (before, *part, after) if m is not None]

    if not run or not crowded(fenced(run)):
        return run
    for every in _KEEP_EVERY:
        # only what divides the run evenly keeps the steps round
        if (len(run) + 1) % every == 0:
            part = run[every - 1 :: every]
            if part and not crowded(fenced(part)):
                return part
    return []


def _without_meeting_ends(marks: list[Mark]) -> list[Mark]:
    """Return marks without the last one where it stands on the first, a whole turn on."""
    if len(marks) > 1:
        apart_deg = abs(marks[-1].dial_deg - marks[0].dial_deg)
        if abs(apart_deg - 360.0) < _SAME_PLACE_DEG:
            return marks[:-1]
    return marks
