"""Rules of reading for the pointer over the face: where its tip ends, how broad, how high."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from gaugecore.face.face import Face, TipRule
from gaugecore.face.graduations import graduations_of, radii_mm, style_of
from gaugecore.face.scale_rings import rings_of
from gaugecore.findings import Finding, Severity
from gaugecore.polar import arc_length_mm

_TO_MARKS_SOURCE: Final = "MIL-STD-1472 and NUREG-0700, from memory"
_OVER_MARKS_SOURCE: Final = (
    "ASME B40.100-2005 extract: graduations project beyond the arc of the pointer's end"
)
_GAP_SOURCE: Final = "EU measuring-instrument text on circular scales"
_PARALLAX_SOURCE: Final = "geometry; a quarter of a division: MIL-STD-1472E 5.4.2.1.1.6, there for knobs"
#: A tip that ends further from the marks than this part of its length leads the eye astray.
_FAR_OF_LENGTH: Final = 0.08
_HIGHEST_MM: Final = 2.0
_QUARTER: Final = 0.25
_DUST_MM: Final = 1e-6


def check_pointer(
    face: Face, *, length_mm: float, gap_mm: float | None, tip_width_mm: float | None
) -> list[Finding]:
    """Return what the rules have to say about a pointer over a face.

    Parameters
    ----------
    face : Face
        The design, with the convention for the tip chosen in it.
    length_mm : float
        Pivot to tip.
    gap_mm, tip_width_mm : float or None
        Height above the face and width of the tip, where known.
    """
    found = _reach(face, length_mm)
    if tip_width_mm is not None:
        found += _tip_width(face, tip_width_mm)
    if gap_mm is not None:
        found += _gap(face, length_mm, gap_mm)
        found += _parallax(face, gap_mm)
    return found


def _reach(face: Face, length_mm: float) -> list[Finding]:
    marks = graduations_of(face)
    seen_mm = face.diameter_mm / 2.0 - face.bezel_mm
    if length_mm > seen_mm + _DUST_MM:
        return [
            Finding(
                rule="pointer-hits-the-bezel",
                severity=Severity.FAULT,
                place="pointer.length_mm",
                message="The pointer is longer than the part of the disc that can be seen.",
                measured=f"{length_mm:g} mm",
                wanted=f"less than {seen_mm:g} mm",
                source="geometry",
                remedy="Shorten the pointer.",
                at_mm=(0.0, length_mm),
            )
        ]
    if not marks:
        return []
    # whichever ends are aligned, the shortest are those that reach neither as far in nor as far out
    ends_mm = [radii_mm(rings_of(face)[0], rank) for rank in {mark.rank for mark in marks}]
    outer_mm, inner_mm = min(outer for outer, _ in ends_mm), max(inner for _, inner in ends_mm)
    if face.tip_rule is TipRule.TO_MARKS:
        low_mm, high_mm = inner_mm - _FAR_OF_LENGTH * inner_mm, inner_mm
        wanted, source = "reach the shortest graduations and not cover them", _TO_MARKS_SOURCE
    else:
        low_mm, high_mm = inner_mm, outer_mm
        wanted, source = "cover the inner ends of the graduations and stop inside them", _OVER_MARKS_SOURCE
    if low_mm - _DUST_MM <= length_mm <= high_mm + _DUST_MM:
        return []
    return [
        Finding(
            rule="pointer-reach",
            severity=Severity.CAUTION,
            place="pointer.length_mm",
            message=f"The tip should {wanted}; it is too {'long' if length_mm > high_mm else 'short'}.",
            measured=f"{length_mm:g} mm",
            wanted=f"{low_mm:.1f} to {high_mm:.1f} mm",
            source=source,
            remedy=f"Make the pointer {high_mm if length_mm > high_mm else low_mm:.1f} mm long, "
            "or choose the other convention (tip_rule).",
            at_mm=(0.0, length_mm),
        )
    ]


def _tip_width(face: Face, tip_width_mm: float) -> list[Finding]:
    marks = graduations_of(face)
    if not marks:
        return []
    thinnest_mm = min(style_of(face, mark.rank).width_mm for mark in marks)
    if tip_width_mm <= thinnest_mm + _DUST_MM:
        return []
    return [
        Finding(
            rule="tip-width",
            severity=Severity.NOTE,
            place="pointer.tip_width_mm",
            message="The tip is broader than the finest graduations.",
            measured=f"{tip_width_mm:g} mm",
            wanted=f"at most {thinnest_mm:g} mm",
            source=_TO_MARKS_SOURCE,
            remedy="Make the tip narrower as far as the material allows.",
        )
    ]


def _gap(face: Face, length_mm: float, gap_mm: float) -> list[Finding]:
    division_mm = _division_mm(face)
    # never over 2 mm; for a circular dial 0.02 of the length and a millimetre
    highest_mm = min(_HIGHEST_MM, 0.02 * length_mm + 1.0)
    if gap_mm <= highest_mm + _DUST_MM and (division_mm is None or gap_mm <= division_mm + _DUST_MM):
        return []
    over_division = division_mm is not None and division_mm < highest_mm
    return [
        Finding(
            rule="pointer-gap",
            severity=Severity.CAUTION if gap_mm > highest_mm + _DUST_MM else Severity.NOTE,
            place="pointer.gap_mm",
            message="The pointer stands so high above the face that the reading depends on the eye's place.",
            measured=f"{gap_mm:g} mm",
            wanted=f"at most {highest_mm:.2g} mm"
            + (f", better the length of a division, {division_mm:.2f} mm" if over_division else ""),
            source=_GAP_SOURCE,
            remedy="Mount the pointer closer to the face.",
        )
    ]


def _parallax(face: Face, gap_mm: float) -> list[Finding]:
    division_mm = _division_mm(face)
    shift_mm = gap_mm * face.eye_offset_mm / face.viewing_distance_mm
    if division_mm is None or shift_mm <= _QUARTER * division_mm:
        return []
    return [
        Finding(
            rule="parallax",
            severity=Severity.NOTE,
            place="pointer.gap_mm",
            message="Seen from beside the axis, the needle appears shifted on the scale.",
            measured=f"{shift_mm:.2f} mm, {shift_mm / division_mm:.2f} of a division",
            wanted=f"at most {_QUARTER:g} of a division, {_QUARTER * division_mm:.2f} mm",
            source=_PARALLAX_SOURCE,
            remedy="Mount the pointer closer to the face, or the instrument in front of the eye.",
        )
    ]


def _division_mm(face: Face) -> float | None:
    """Return the length of the smallest division along the graduations' outer circle."""
    marks = graduations_of(face)
    if len(marks) < 2:
        return None
    outer_mm = face.graduations.outer_radius_mm
    return min(arc_length_mm(outer_mm, other.dial_deg - one.dial_deg) for one, other in pairwise(marks))
