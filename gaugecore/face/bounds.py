"""What makes a face impossible: values off the scale, ink or holes off the disc."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import Final

from gaugecore.drawing.ink import Ink, apart_mm
from gaugecore.face.face import Face, Sector
from gaugecore.face.graduations import Rank, graduations_of, style_of
from gaugecore.face.scale import value_range
from gaugecore.face.sectors import sector_ends_deg
from gaugecore.findings import Finding, Severity
from gaugecore.polar import Point, xy_mm_to_dial

#: Cut lines closer than this may burn through to each other.
LEAST_WEB_MM: Final = 0.5
_WEB_SOURCE: Final = "a laser cutting service's guide: lines closer than 0.5 mm may burn away"
_GEOMETRY: Final = "geometry"
#: Floating point dust; a hundredth of what a laser can place.
_DUST_MM: Final = 1e-6


def check_values(face: Face) -> list[Finding]:
    """Return a fault for everything that stands at a value the scale does not have."""
    low, high = value_range(face.scale)
    placed = [(f"face.detent_marks.{n}", mark.value) for n, mark in enumerate(face.detent_marks)]
    placed += [
        (f"face.sectors.{n}", value)
        for n, sector in enumerate(face.sectors)
        for value in (sector.low_value, sector.high_value)
    ]
    placed += [(f"face.limit_lines.{n}", limit.value) for n, limit in enumerate(face.limit_lines)]
    placed += [
        (f"face.breaks.{n}", value)
        for n, gap in enumerate(face.breaks)
        for value in (gap.low_value, gap.high_value)
    ]
    if face.numerals is not None:
        placed += [("face.numerals.texts", value) for value, _ in face.numerals.texts]
    found = [
        Finding(
            rule="value-off-the-scale",
            severity=Severity.FAULT,
            place=place,
            message=f"The value {value:g} lies outside the scale, so it cannot be drawn where it belongs.",
            measured=f"{value:g}",
            wanted=f"{low:g} to {high:g}",
            source=_GEOMETRY,
            remedy="Change the value, or let the scale reach that far.",
        )
        for place, value in placed
        if not low <= value <= high
    ]
    return found + _empty_sectors(face) + _breaks(face) + _lengths(face)


def _empty_sectors(face: Face) -> list[Finding]:
    return [
        Finding(
            rule="sector-empty",
            severity=Severity.FAULT,
            place=f"face.sectors.{index}",
            message="The sector has no area: its ends, or its radii, are the wrong way round or meet.",
            measured=f"{sector.low_value:g} to {sector.high_value:g}, "
            f"{sector.inner_radius_mm:g} to {sector.outer_radius_mm:g} mm",
            wanted="low below high, inner below outer",
            source=_GEOMETRY,
            remedy="Exchange them.",
        )
        for index, sector in enumerate(face.sectors)
        if sector_ends_deg(face, sector) is None and _on_the_scale(face, sector)
    ]


def _on_the_scale(face: Face, sector: Sector) -> bool:
    low, high = value_range(face.scale)
    return low <= sector.high_value and sector.low_value <= high


def _breaks(face: Face) -> list[Finding]:
    """Return a fault for a break that leaves nothing out, and for one that begins within another."""
    found = [
        Finding(
            rule="break-empty",
            severity=Severity.FAULT,
            place=f"face.breaks.{index}",
            message="The break leaves nothing out: its ends are the wrong way round or equal.",
            measured=f"{gap.low_value:g} to {gap.high_value:g}",
            wanted="low below high",
            source=_GEOMETRY,
            remedy="Exchange them.",
        )
        for index, gap in enumerate(face.breaks)
        if gap.low_value >= gap.high_value
    ]
    in_order = sorted(enumerate(face.breaks), key=lambda numbered: numbered[1].low_value)
    return found + [
        Finding(
            rule="breaks-meet",
            severity=Severity.FAULT,
            place=f"face.breaks.{index}",
            message="Two breaks of the scale overlap.",
            measured=f"one from {later.low_value:g}, another to {earlier.high_value:g}",
            wanted="breaks that lie apart",
            source=_GEOMETRY,
            remedy="Make one of both.",
        )
        for (_, earlier), (index, later) in pairwise(in_order)
        if later.low_value < earlier.high_value
    ]


def _lengths(face: Face) -> list[Finding]:
    outer_mm = face.graduations.outer_radius_mm
    found = []
    if face.graduations.base_arc_width_mm >= 2.0 * outer_mm:
        found.append(
            Finding(
                rule="base-arc-too-broad",
                severity=Severity.FAULT,
                place="face.graduations.base_arc_width_mm",
                message="The base arc is broader than its circle.",
                measured=f"{face.graduations.base_arc_width_mm:g} mm",
                wanted=f"less than {outer_mm:g} mm",
                source=_GEOMETRY,
                remedy="Make it narrower.",
            )
        )
    return found + [
        Finding(
            rule="graduations-reach-the-pivot",
            severity=Severity.FAULT,
            place=f"face.graduations.{rank.value}",
            message=f"The {rank.value} graduations are longer than their circle's radius.",
            measured=f"{style_of(face, rank).length_mm:g} mm",
            wanted=f"less than {outer_mm:g} mm",
            source=_GEOMETRY,
            remedy="Shorten them.",
        )
        for rank in Rank
        if style_of(face, rank).length_mm >= outer_mm
    ]


def check_bounds(face: Face, inks: Iterable[Ink]) -> list[Finding]:
    """Return a fault for every part of a face that reaches beyond what can be seen, or be cut.

    Parameters
    ----------
    face : Face
        The design.
    inks : iterable of Ink
        Of all its elements except the ground and the outline; holes as solid.
    """
    inks = list(inks)
    holes = [ink for ink in inks if _is_hole(ink)]
    found = _out_of_sight(face, [ink for ink in inks if not _is_hole(ink)])
    found += _holes_at_the_edge(face, holes)
    found += _holes_that_meet(holes)
    if not graduations_of(face):
        found.append(
            Finding(
                rule="no-graduations",
                severity=Severity.FAULT,
                place="face.graduations",
                message="No graduation falls on the scale.",
                measured=f"a step of {face.graduations.major_step:g}",
                wanted="at least two graduations",
                source=_GEOMETRY,
                remedy="Choose a smaller step.",
            )
        )
    return found


def _is_hole(ink: Ink) -> bool:
    return ink.part.startswith(("centre_hole", "fixing_holes", "apertures"))


def place_of(ink: Ink) -> str:
    """Return the place in the panel of what an ink belongs to, such as ``face.legends.0``."""
    prefix, name = split_part(ink)
    group, _, rest = name.partition(".")
    if group in ("numerals", "graduations", "fixing_holes"):
        return f"face.{prefix}{group}"
    if group == "centre_hole":
        return "face.centre_hole_mm"
    if group == "lubber_line":
        return "face.lubber_line"
    return f"face.{group}.{rest.split('.')[0]}"


def split_part(ink: Ink) -> tuple[str, str]:
    """Return the ring's prefix of an ink's part, if it has one, and the rest."""
    second = "second."
    return (second, ink.part.removeprefix(second)) if ink.part.startswith(second) else ("", ink.part)


def _out_of_sight(face: Face, inks: list[Ink]) -> list[Finding]:
    """Return one finding for each group of elements that is not wholly seen, at its worst place."""
    disc_mm = face.diameter_mm / 2.0
    seen_mm = disc_mm - face.bezel_mm
    worst: dict[str, Ink] = {}
    for ink in inks:
        place = place_of(ink)
        if ink.farthest_mm > max(seen_mm, 0.0) + _DUST_MM and (
            place not in worst or ink.farthest_mm > worst[place].farthest_mm
        ):
            worst[place] = ink
    return [
        Finding(
            rule="off-the-disc" if ink.farthest_mm > disc_mm + _DUST_MM else "under-the-bezel",
            severity=Severity.FAULT,
            place=place,
            message="This reaches beyond the edge of the disc."
            if ink.farthest_mm > disc_mm + _DUST_MM
            else "The bezel covers part of this.",
            measured=f"{ink.farthest_mm:.2f} mm from the pivot",
            wanted=f"at most {seen_mm:g} mm",
            source=_GEOMETRY,
            remedy="Move it inward, make it smaller, or choose a larger disc.",
            at_mm=ink.middle_mm,
        )
        for place, ink in worst.items()
    ]


def _holes_at_the_edge(face: Face, holes: list[Ink]) -> list[Finding]:
    disc_mm = face.diameter_mm / 2.0
    found = []
    for hole in holes:
        web_mm = disc_mm - hole.farthest_mm
        if web_mm >= LEAST_WEB_MM:
            continue
        outside = web_mm < 0.0
        found.append(
            Finding(
                rule="hole-off-the-disc" if outside else "hole-near-the-edge",
                severity=Severity.FAULT if outside else Severity.CAUTION,
                place=place_of(hole),
                message="A hole reaches beyond the edge of the disc."
                if outside
                else "So little is left between a hole and the edge that it may burn away.",
                measured=f"{-web_mm:.2f} mm beyond the edge" if outside else f"{web_mm:.2f} mm to the edge",
                wanted=f"at least {LEAST_WEB_MM:g} mm",
                source=_GEOMETRY if outside else _WEB_SOURCE,
                remedy="Move the hole inward.",
                at_mm=hole.middle_mm,
            )
        )
    return found[:1]


def _holes_that_meet(holes: list[Ink]) -> list[Finding]:
    for index, one in enumerate(holes):
        for other in holes[index + 1 :]:
            web_mm = apart_mm(one, other)
            # one hole inside another has no distance, only a common middle
            if web_mm < LEAST_WEB_MM or _same_place(one.middle_mm, other.middle_mm):
                meet = web_mm <= 0.0
                return [
                    Finding(
                        rule="holes-meet" if meet else "holes-near",
                        severity=Severity.FAULT if meet else Severity.CAUTION,
                        place=place_of(other),
                        message="Two holes run into each other."
                        if meet
                        else "So little is left between two holes that it may burn away.",
                        measured=f"{max(0.0, web_mm):.2f} mm",
                        wanted=f"at least {LEAST_WEB_MM:g} mm",
                        source=_GEOMETRY if meet else _WEB_SOURCE,
                        remedy="Move them apart, or make them smaller.",
                        at_mm=other.middle_mm,
                    )
                ]
    return []


def _same_place(one: Point, other: Point) -> bool:
    return xy_mm_to_dial(one[0] - other[0], one[1] - other[1])[1] < _DUST_MM
