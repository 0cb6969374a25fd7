"""The rings of a face: one or two scales of graduations and numerals over the same arc."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from gaugecore.face.face import Face, Graduations, Numerals
from gaugecore.face.scale import AnyScale, angle_deg, angles_deg, drawn_range


def exact(number: float) -> Fraction:
    """Return a number as the decimal it is written as, exactly.

    Examples
    --------
    >>> exact(0.1)
    Fraction(1, 10)
    """
    return Fraction(repr(float(number)))


class Marked(NamedTuple):
    """Values that a step marks, rising: whole numbers, to be divided by one other.

    As exact as fractions, and many times faster to compare.
    """

    numerators: Sequence[int]
    denominator: int

    def fractions(self) -> list[Fraction]:
        """Return the values."""
        return [Fraction(numerator, self.denominator) for numerator in self.numerators]

    def with_others(self, others: Sequence[Fraction]) -> Marked:
        """Return these values and others, each once."""
        denominator = math.lcm(self.denominator, *(value.denominator for value in others))
        times = denominator // self.denominator
        found = {numerator * times for numerator in self.numerators}
        found.update(int(value * denominator) for value in others)
        return Marked(sorted(found), denominator)


@dataclass(frozen=True, slots=True, kw_only=True)
class RingScale:
    """Where the values of a ring stand, whatever they are drawn like.

    Attributes
    ----------
    prefix : str
        Of the part names of its elements: empty for the first ring, ``second.`` for the other.
    scale : scale
        Of the first ring; it says where values stand.
    factor, offset : Fraction
        What turns a value of the first ring into one of this; exact, so that no graduation drifts.
    """

    prefix: str
    scale: AnyScale
    factor: Fraction = Fraction(1)
    offset: Fraction = Fraction(0)

    @property
    def bounds(self) -> tuple[Fraction, Fraction]:
        """Return the lowest and the highest value drawn, in the ring's unit."""
        ends = sorted(exact(value) * self.factor + self.offset for value in drawn_range(self.scale))
        return ends[0], ends[1]

    def dial_deg(self, value: Fraction) -> float:
        """Return the dial angle of a value in the ring's unit."""
        return angle_deg(self.scale, float(self.of_first(value)))

    def dials_deg(self, values: Marked) -> list[float]:
        """Return the dial angles of values within the ring's bounds, all at once."""
        if self.prefix == "":
            # fractions are slow, and most faces have one ring only
            on_first = [numerator / values.denominator for numerator in values.numerators]
        else:
            on_first = [float(self.of_first(value)) for value in values.fractions()]
        found: list[float] = angles_deg(self.scale, on_first).tolist()
        return found

    def of_first(self, value: Fraction) -> Fraction:
        """Return what the first ring shows where this one shows a value."""
        return value if self.prefix == "" else (value - self.offset) / self.factor

    def where(self, field: str) -> str:
        """Return the path of a field in the face."""
        return f"{self.prefix}{field}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring(RingScale):
    """One scale of a face, in its own unit.

    Attributes
    ----------
    graduations, numerals : Graduations, Numerals or None
        How it is drawn.
    ink_colour : str
        ``#rrggbb``.
    viewing_distance_mm : float
        From eye to face.
    """

    graduations: Graduations
    numerals: Numerals | None
    ink_colour: str
    viewing_distance_mm: float

    @property
    def bare(self) -> RingScale:
        """Return the ring without what it is drawn like, which is what most edits of a face change."""
        return RingScale(prefix=self.prefix, scale=self.scale, factor=self.factor, offset=self.offset)


def rings_of(face: Face) -> tuple[Ring, ...]:
    """Return the rings of a face, the first one first."""
    first = Ring(
        prefix="",
        scale=face.scale,
        graduations=face.graduations,
        numerals=face.numerals,
        ink_colour=face.ink_colour,
        viewing_distance_mm=face.viewing_distance_mm,
    )
    if face.second is None:
        return (first,)
    second = Ring(
        prefix="second.",
        scale=face.scale,
        graduations=face.second.graduations,
        numerals=face.second.numerals,
        ink_colour=face.second.ink_colour or face.ink_colour,
        viewing_distance_mm=face.viewing_distance_mm,
        factor=exact(face.second.factor),
        offset=exact(face.second.offset),
    )
    return first, second
