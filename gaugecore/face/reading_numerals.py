"""Rules of reading for which graduations are numbered, and for what the numerals say."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from typing import Final

from gaugecore.face.face import Face, Numerals
from gaugecore.face.graduations import (
    Numeral,
    Rank,
    graduations_on,
    numeral_style,
    numerals_on,
    rounded_figure,
)
from gaugecore.face.scale_rings import Ring, rings_of
from gaugecore.findings import Finding, Severity

_NOT_MORE_BETWEEN: Final = 9


def check_numerals(face: Face) -> list[Finding]:
    """Return what the rules have to say about the numerals of a face, ring by ring."""
    return [finding for ring in rings_of(face) for finding in _check_ring(ring, face)]


def _check_ring(ring: Ring, face: Face) -> list[Finding]:
    style = numeral_style(ring)
    if style is None:
        return []
    return [*_between(ring, face), *_rounded(ring, face, style), *_bare(ring, face), *_unnumbered(ring, face)]


def _between(ring: Ring, face: Face) -> list[Finding]:
    numerals, marks = numerals_on(ring, face), graduations_on(ring, face)
    most, at = 0, None
    for one, other in pairwise(numerals):
        between = sum(one.value < mark.value < other.value for mark in marks)
        if between > most:
            most, at = between, (one, other)
    if at is None or most <= _NOT_MORE_BETWEEN:
        return []
    return [
        Finding(
            rule="marks-between-numerals",
            severity=Severity.CAUTION,
            place=f"face.{ring.where('graduations')}",
            message=f"Too many graduations to count between {at[0].text} and {at[1].text}.",
            measured=f"{most}",
            wanted=f"at most {_NOT_MORE_BETWEEN}",
            source="MIL-HDBK-759B notice (1993), 5.2.2.3.1.4.1",
            remedy="Leave out the minor graduations, or number more of the major ones.",
        )
    ]


def _rounded(ring: Ring, face: Face, style: Numerals) -> list[Finding]:
    worded = {value for value, _ in style.texts}
    rounded = [n for n in numerals_on(ring, face) if n.value not in worded and not _is_true(n, style)]
    return [
        Finding(
            rule="numeral-rounded",
            severity=Severity.FAULT,
            place=f"face.{ring.where('numerals')}",
            message="A numeral shows another value than the one it stands at.",
            measured=f"{numeral.text} at {numeral.value:g}",
            wanted=f"{numeral.value / style.divisor:g}",
            source="arithmetic",
            remedy="Show more decimals, or choose another step or divisor.",
        )
        for numeral in rounded[:1]
    ]


def _is_true(numeral: Numeral, style: Numerals) -> bool:
    shown = rounded_figure(numeral.value, style)
    meant = Decimal(repr(numeral.value)) / Decimal(repr(style.divisor))
    return abs(shown) == abs(meant) if style.unsigned else shown == meant


def _bare(ring: Ring, face: Face) -> list[Finding]:
    marked = {mark.value for mark in graduations_on(ring, face)}
    bare = [numeral for numeral in numerals_on(ring, face) if numeral.value not in marked]
    return [
        Finding(
            rule="numeral-without-graduation",
            severity=Severity.CAUTION,
            place=f"face.{ring.where('numerals')}",
            message=f"There is no graduation at the numeral {numeral.text}.",
            measured=f"{numeral.value:g}",
            wanted="a graduation at every numeral",
            source="common practice, no source",
            remedy="Make the numerals' step a multiple of a graduation step.",
        )
        for numeral in bare[:1]
    ]


def _unnumbered(ring: Ring, face: Face) -> list[Finding]:
    """Return a note where the greatest graduations are not those that carry numerals."""
    style = ring.numerals
    if style is None or style.step is None:
        return []  # then each has one, or was given an empty word
    numerals, worded = numerals_on(ring, face), {value for value, _ in style.texts}
    if all(numeral.value in worded for numeral in numerals):
        return []  # between E and F there is nothing to count
    numbered = worded.union(numeral.value for numeral in numerals)
    marks = graduations_on(ring, face)
    without = [mark for mark in marks if mark.rank is Rank.MAJOR and mark.value not in numbered]
    return [
        Finding(
            rule="graduation-without-numeral",
            severity=Severity.NOTE,
            place=f"face.{ring.where('numerals')}.step",
            message=f"The major graduation at {mark.value:g} has no numeral.",
            measured="none",
            wanted="a numeral at every major graduation",
            source="Design of Scales and Markings, a handbook of control-room ergonomics",
            remedy="Number each of them, or let the major step be the numerals' step.",
        )
        for mark in without[:1]
    ]
