"""Rings turned into elements: graduations, their base arc, numerals."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from typing import Final

from gaugecore.drawing.elements import AnyElement, Arc, Circle, Line, Operation
from gaugecore.face.face import Ends, Face, Numerals, Orientation
from gaugecore.face.graduations import Graduation, Rank, graduations_on, numerals_on, radii_mm, style_on
from gaugecore.face.scale import angle_deg, value_range
from gaugecore.face.scale_rings import Ring
from gaugecore.face.words import word
from gaugecore.polar import dial_to_xy_mm, dials_to_xy_mm, xy_mm_to_dial

#: Strokes that show a break stand this far apart and lean by this much, in degrees of dial angle.
_BREAK_APART_DEG, _BREAK_LEAN_DEG = 2.0, 1.5
_WHOLE_TURN_DEG: Final = 360.0
#: Lines that are no farther apart than this are one.
_SAME_LINE_DEG: Final = 1e-6
_SAME_MM: Final = 1e-6


def graduation_elements(ring: Ring, face: Face) -> list[AnyElement]:
    """Return the base arc and the graduations of a ring, the least important first."""
    marks = graduations_on(ring, face)
    drawn: list[AnyElement] = [*_base_arcs(ring, face, marks)]
    # a crowded major graduation still stands whole when it is drawn last
    for rank in reversed(Rank):
        outer_mm, inner_mm = radii_mm(ring, rank)
        width_mm = style_on(ring, rank).width_mm
        own_lines_deg = _own_lines_deg(ring, rank, face)
        shown = [mark for mark in marks if mark.rank is rank]
        if own_lines_deg:
            shown = [mark for mark in shown if not _stands_on_one(mark.dial_deg, own_lines_deg)]
        part = f"{ring.prefix}graduations.{rank.value}"
        values, dials_deg = tuple(mark.value for mark in shown), tuple(mark.dial_deg for mark in shown)
        drawn += _lines(values, dials_deg, part, width_mm, ring.ink_colour, outer_mm, inner_mm)
    return drawn


# what a hand drags is mostly something else, and then the same lines come again at every frame
@lru_cache(maxsize=64)
def _lines(
    values: tuple[float, ...],
    dials_deg: tuple[float, ...],
    part: str,
    width_mm: float,
    colour: str,
    outer_mm: float,
    inner_mm: float,
) -> list[Line]:
    """Return the lines of graduations; whoever takes them leaves the list as it is."""
    starts_mm, ends_mm = (dials_to_xy_mm(dials_deg, radius_mm) for radius_mm in (outer_mm, inner_mm))
    return [
        Line(
            operation=Operation.PRINT,
            part=f"{part}.{value:.12g}",
            width_mm=width_mm,
            colour=colour,
            start_mm=start_mm,
            end_mm=end_mm,
        )
        for value, start_mm, end_mm in zip(values, starts_mm, ends_mm, strict=True)
    ]


def _own_lines_deg(ring: Ring, rank: Rank, face: Face) -> list[float]:
    """Return where a detent's or a limit's line stands: a laser must not go over one line twice."""
    if ring.prefix:
        return []
    outer_mm, inner_mm = radii_mm(ring, rank)
    values = [
        *(stop.value for stop in face.detent_marks),
        *(
            limit.value
            for limit in face.limit_lines
            if limit.outer_radius_mm >= outer_mm - _SAME_MM and limit.inner_radius_mm <= inner_mm + _SAME_MM
        ),
    ]
    low, high = value_range(face.scale)
    return [angle_deg(face.scale, value) for value in values if low <= value <= high]


def _stands_on_one(dial_deg: float, lines_deg: list[float]) -> bool:
    return any(abs(math.remainder(line - dial_deg, _WHOLE_TURN_DEG)) < _SAME_LINE_DEG for line in lines_deg)


def _base_arcs(ring: Ring, face: Face, marks: tuple[Graduation, ...]) -> Iterator[AnyElement]:
    """Yield the arc along the aligned ends, as far as the edges of the end graduations, and its breaks."""
    width_mm = ring.graduations.base_arc_width_mm
    if not width_mm or len(marks) < 2:
        return
    outer_mm, inner_mm = radii_mm(ring, Rank.MAJOR)
    outside = ring.graduations.aligned is Ends.OUTER
    radius_mm = outer_mm - width_mm / 2.0 if outside else inner_mm + width_mm / 2.0
    if radius_mm <= 0.0:
        return  # the check says that this arc is broader than its circle
    first, last = sorted((marks[0], marks[-1]), key=lambda mark: mark.dial_deg)
    start_deg = first.dial_deg - _half_width_deg(style_on(ring, first.rank).width_mm, radius_mm)
    end_deg = last.dial_deg + _half_width_deg(style_on(ring, last.rank).width_mm, radius_mm)
    part = f"{ring.prefix}graduations.base_arc"
    if _goes_round(ring) or end_deg - start_deg >= _WHOLE_TURN_DEG:
        yield Circle(
            operation=Operation.PRINT,
            part=part,
            width_mm=width_mm,
            colour=ring.ink_colour,
            centre_mm=(0.0, 0.0),
            radius_mm=radius_mm,
        )
        return
    stops = [start_deg, end_deg]
    for middle_deg in _breaks_deg(face):
        stops += [middle_deg - _BREAK_APART_DEG / 2.0, middle_deg + _BREAK_APART_DEG / 2.0]
        yield from _break_strokes(ring, middle_deg, radius_mm, width_mm)
    stops.sort()
    for piece_start_deg, piece_end_deg in list(pairwise(stops))[::2]:
        if piece_start_deg < piece_end_deg:
            yield Arc(
                operation=Operation.PRINT,
                part=part,
                width_mm=width_mm,
                colour=ring.ink_colour,
                centre_mm=(0.0, 0.0),
                radius_mm=radius_mm,
                start_deg=piece_start_deg,
                end_deg=piece_end_deg,
            )


def _goes_round(ring: Ring) -> bool:
    low, high = (ring.dial_deg(end) for end in ring.bounds)
    return abs(high - low) >= _WHOLE_TURN_DEG - _SAME_LINE_DEG


def _breaks_deg(face: Face) -> list[float]:
    """Return the middle dial angles of the breaks that lie on the scale, rising."""
    low, high = value_range(face.scale)
    return sorted(
        (angle_deg(face.scale, gap.low_value) + angle_deg(face.scale, gap.high_value)) / 2.0
        for gap in face.breaks
        if low <= gap.low_value < gap.high_value <= high
    )


def _break_strokes(ring: Ring, middle_deg: float, radius_mm: float, width_mm: float) -> Iterator[Line]:
    reach_mm = ring.graduations.minor.length_mm / 2.0
    for side in (-0.5, 0.5):
        dial_deg = middle_deg + side * _BREAK_APART_DEG
        yield Line(
            operation=Operation.PRINT,
            part=f"{ring.prefix}graduations.break",
            width_mm=width_mm,
            colour=ring.ink_colour,
            start_mm=dial_to_xy_mm(dial_deg + _BREAK_LEAN_DEG / 2.0, radius_mm + reach_mm),
            end_mm=dial_to_xy_mm(dial_deg - _BREAK_LEAN_DEG / 2.0, radius_mm - reach_mm),
        )


def _half_width_deg(width_mm: float, radius_mm: float) -> float:
    return xy_mm_to_dial(width_mm / 2.0, radius_mm)[0]


def numeral_elements(ring: Ring, face: Face) -> list[AnyElement]:
    """Return the numerals of a ring.

    Raises
    ------
    DesignError
        If one cannot be lettered.
    """
    style = ring.numerals
    if style is None:
        return []
    return [
        element
        for numeral in numerals_on(ring, face)
        for element in word(
            face,
            numeral.text,
            part=f"{ring.prefix}numerals.{numeral.value:.12g}",
            where=ring.where("numerals.texts"),
            height_mm=style.height_mm,
            stroke_mm=style.stroke_mm,
            at_mm=dial_to_xy_mm(numeral.dial_deg, style.radius_mm),
            turn_deg=turn_deg(style, numeral.dial_deg),
            colour=ring.ink_colour,
        )
    ]


def turn_deg(style: Numerals, dial_deg: float) -> float:
    """Return how far a numeral is turned clockwise from upright."""
    if style.orientation is Orientation.UPRIGHT:
        return 0.0
    if style.orientation is Orientation.TANGENTIAL:
        return dial_deg
    # along the radius, and never upside down: outward on the right half, inward on the left
    return dial_deg - 90.0 if dial_deg % _WHOLE_TURN_DEG <= _WHOLE_TURN_DEG / 2.0 else dial_deg + 90.0
