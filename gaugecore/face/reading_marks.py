"""Rules of reading for the size of marks and characters."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from gaugecore.drawing.font_measures import figure_width_of_height, stroke_of_height
from gaugecore.drawing.lettering import stroke_width_mm
from gaugecore.drawing.outline_font import load_font
from gaugecore.face.contrast import luminance
from gaugecore.face.detents import label_height_mm
from gaugecore.face.face import Face
from gaugecore.face.graduations import Graduation, Rank, graduations_on, radii_mm, style_on
from gaugecore.face.scale_rings import Ring, rings_of
from gaugecore.face.seeing import arcmin_of, height_for_mm
from gaugecore.findings import Finding, Severity
from gaugecore.polar import Point, arc_length_mm, dial_to_xy_mm

#: Sizes below hold at this distance and grow with it.
_TABLE_DISTANCE_MM: Final = 710.0
_LEAST_SPACING_MM: Final = 0.89
_LEAST_WIDTH_MM: Final = 0.32
_TABLE_SOURCE: Final = "human engineering handbooks of the MIL-STD-1472 lineage, good light, from memory"
#: The same table for little light.
_LEAST_DIM_SPACING_MM: Final = 1.8
_LEAST_DIM_WIDTHS_MM: Final = {Rank.MAJOR: 0.89, Rank.INTERMEDIATE: 0.76, Rank.MINOR: 0.64}
_DIM_SOURCE: Final = "human engineering handbooks of the MIL-STD-1472 lineage, little light, from memory"
_THICKNESS_OF_SPACING: Final = 1.0 / 5.0
_LEAST_ARCMIN, _WANTED_ARCMIN = 16.0, 20.0
_LEAST_LABEL_ARCMIN: Final = 15.0
#: Stroke to height, for dark on light and for light on dark.
_STROKE_DARK, _STROKE_LIGHT = 1.0 / 6.0, 1.0 / 8.0
#: Of figures, against their height.
_NARROWEST, _WIDEST = 0.5, 1.0
#: Ratios within a hundredth are equal to the eye.
_NEAR: Final = 0.99
#: A rank of marks is told from the next by this much of its length.
_RANK_STEP: Final = 1.15


def check_graduations(face: Face, *, back_lit: bool = False) -> list[Finding]:
    """Return what the rules have to say about the sizes of a face's graduations, ring by ring."""
    found = [finding for ring in rings_of(face) for finding in _check_ring(ring, face)]
    if back_lit:
        found += [finding for ring in rings_of(face) for finding in _check_by_night(ring, face)]
    return found


def _check_ring(ring: Ring, face: Face) -> list[Finding]:
    marks = graduations_on(ring, face)
    if len(marks) < 2:
        return []
    scale = ring.viewing_distance_mm / _TABLE_DISTANCE_MM
    spacing_mm, thickness, at_mm = _tightest(ring, marks)
    place = f"face.{ring.where('graduations')}"
    found = []
    if thickness > _THICKNESS_OF_SPACING:
        found.append(
            Finding(
                rule="thickness-to-spacing",
                severity=Severity.CAUTION,
                place=place,
                message="Graduations are too thick for the space between them.",
                measured=f"{thickness:.2f} of the spacing of {spacing_mm:.2f} mm",
                wanted=f"at most {_THICKNESS_OF_SPACING:g}",
                source="EN 837-1:1996",
                remedy="Make the finest graduations thinner, or leave them out.",
                at_mm=at_mm,
            )
        )
    if spacing_mm < _LEAST_SPACING_MM * scale * _NEAR:
        found.append(
            Finding(
                rule="spacing",
                severity=Severity.CAUTION,
                place=place,
                message="Graduations stand too close to be told apart at this distance.",
                measured=f"{spacing_mm:.2f} mm",
                wanted=f"at least {_LEAST_SPACING_MM * scale:.2f} mm at {ring.viewing_distance_mm:g} mm",
                source=_TABLE_SOURCE,
                remedy="Leave out the finest graduations, use a longer arc or a larger disc.",
                at_mm=at_mm,
            )
        )
    return [*found, *_widths(ring, marks, scale), *_ranks(ring, marks)]


def _check_by_night(ring: Ring, face: Face) -> list[Finding]:
    """Return notes on what is read well by day only."""
    marks = graduations_on(ring, face)
    if len(marks) < 2:
        return []
    return [*_thin_by_night(ring, marks), *_close_by_night(ring, marks)]


def _thin_by_night(ring: Ring, marks: tuple[Graduation, ...]) -> list[Finding]:
    """Return one note for the widths of all ranks."""
    scale = ring.viewing_distance_mm / _TABLE_DISTANCE_MM
    found = []
    for rank in (rank for rank in Rank if any(mark.rank is rank for mark in marks)):
        width_mm, wanted_mm = style_on(ring, rank).width_mm, _LEAST_DIM_WIDTHS_MM[rank] * scale
        if width_mm < wanted_mm * _NEAR:
            found.append((f"{rank.value} {width_mm:g} mm", f"{rank.value} {wanted_mm:.2f} mm"))
    if not found:
        return []
    measured, wanted = (", ".join(words) for words in zip(*found, strict=True))
    return [
        Finding(
            rule="graduation-width-by-night",
            severity=Severity.NOTE,
            place=f"face.{ring.where('graduations')}",
            message="By night, back-lit, the graduations are thin for this distance.",
            measured=measured,
            wanted=f"{wanted} at {ring.viewing_distance_mm:g} mm",
            source=_DIM_SOURCE,
            remedy="Make them broader where the spacing allows it, or let fewer of them glow.",
        )
    ]


def _close_by_night(ring: Ring, marks: tuple[Graduation, ...]) -> list[Finding]:
    wanted_mm = _LEAST_DIM_SPACING_MM * ring.viewing_distance_mm / _TABLE_DISTANCE_MM
    spacing_mm, _, at_mm = _tightest(ring, marks)
    if spacing_mm >= wanted_mm * _NEAR:
        return []
    return [
        Finding(
            rule="spacing-by-night",
            severity=Severity.NOTE,
            place=f"face.{ring.where('graduations')}",
            message="By night, back-lit, graduations stand close for this distance.",
            measured=f"{spacing_mm:.2f} mm",
            wanted=f"at least {wanted_mm:.2f} mm at {ring.viewing_distance_mm:g} mm",
            source=_DIM_SOURCE,
            remedy="Leave out the finest graduations, or keep them if only the day needs them.",
            at_mm=at_mm,
        )
    ]


def _tightest(ring: Ring, marks: tuple[Graduation, ...]) -> tuple[float, float, Point]:
    """Return the least spacing, the greatest thickness to spacing, and where that is.

    Measured along the circle at the inner end of one of two neighbours, as far in as both reach.
    """
    least_mm, thickest, at_mm = float("inf"), 0.0, (0.0, 0.0)
    for one, other in pairwise(marks):
        radius_mm = max(*(radii_mm(ring, mark.rank)[1] for mark in (one, other)), 0.0)
        spacing_mm = arc_length_mm(radius_mm, other.dial_deg - one.dial_deg)
        # the broad marks are few; the rule is about the marks that fill the scale
        thickness = min(style_on(ring, m.rank).width_mm for m in (one, other)) / max(spacing_mm, 1e-9)
        if thickness > thickest:
            thickest = thickness
            at_mm = dial_to_xy_mm((one.dial_deg + other.dial_deg) / 2.0, radius_mm)
        least_mm = min(least_mm, spacing_mm)
    return least_mm, thickest, at_mm


def _widths(ring: Ring, marks: tuple[Graduation, ...], scale: float) -> list[Finding]:
    wanted_mm = _LEAST_WIDTH_MM * scale
    return [
        Finding(
            rule="graduation-width",
            severity=Severity.NOTE,
            place=f"face.{ring.where('graduations')}.{rank.value}",
            message=f"The {rank.value} graduations are thin for this distance.",
            measured=f"{style_on(ring, rank).width_mm:g} mm",
            wanted=f"at least {wanted_mm:.2f} mm at {ring.viewing_distance_mm:g} mm",
            source=_TABLE_SOURCE,
            remedy="Make them broader where the spacing allows it.",
        )
        for rank in Rank
        if any(mark.rank is rank for mark in marks) and style_on(ring, rank).width_mm < wanted_mm * _NEAR
    ]


def _ranks(ring: Ring, marks: tuple[Graduation, ...]) -> list[Finding]:
    used = [rank for rank in Rank if any(mark.rank is rank for mark in marks)]
    return [
        Finding(
            rule="ranks-alike",
            severity=Severity.CAUTION,
            place=f"face.{ring.where('graduations')}.{lower.value}",
            message=f"The {lower.value} graduations are hardly shorter than the {upper.value} ones.",
            measured=f"{style_on(ring, lower).length_mm:g} mm against {style_on(ring, upper).length_mm:g} mm",
            wanted=f"at most {style_on(ring, upper).length_mm / _RANK_STEP:.2f} mm",
            source="common practice, no source",
            remedy="Shorten the lesser ones.",
        )
        for upper, lower in pairwise(used)
        if style_on(ring, lower).length_mm * _RANK_STEP > style_on(ring, upper).length_mm
    ]


def check_characters(face: Face) -> list[Finding]:
    """Return what the rules have to say about the height and the stroke of a face's characters."""
    found: list[Finding] = []
    for ring in rings_of(face):
        if ring.numerals is not None:
            height_mm, place = ring.numerals.height_mm, f"face.{ring.where('numerals')}"
            found += _numeral_height(face, place, height_mm)
            stroke_mm = stroke_width_mm(height_mm, ring.numerals.stroke_mm)
            if face.font_file:
                font = load_font(face.font_file)
                stroke_mm = height_mm * stroke_of_height(font)
                found += _figure_width(place, figure_width_of_height(font))
            found += _stroke(face, ring, place, height_mm, stroke_mm)
    texts = [(f"face.legends.{n}", legend.height_mm) for n, legend in enumerate(face.legends)]
    if any(mark.label.strip() for mark in face.detent_marks):
        texts.append(("face.detent_marks", label_height_mm(face)))
    for place, height_mm in texts:
        found += _label_height(face, place, height_mm)
    return found


def _numeral_height(face: Face, place: str, height_mm: float) -> list[Finding]:
    seen = arcmin_of(height_mm, face.viewing_distance_mm)
    if seen >= _WANTED_ARCMIN * _NEAR:
        return []
    too_small = seen < _LEAST_ARCMIN * _NEAR
    wanted = _LEAST_ARCMIN if too_small else _WANTED_ARCMIN
    return [
        Finding(
            rule="numeral-height",
            severity=Severity.CAUTION if too_small else Severity.NOTE,
            place=place,
            message="The numerals are too small for this distance."
            if too_small
            else "The numerals are smaller than is comfortable at this distance.",
            measured=f"{seen:.1f} minutes of arc, {height_mm:g} mm",
            wanted=f"at least {wanted:g} minutes of arc, "
            f"{height_for_mm(wanted, face.viewing_distance_mm):.2f} mm at {face.viewing_distance_mm:g} mm",
            source="ISO 9241-3 as quoted by a maker's screen guide: 16 at least, 20 to 22 preferred",
            remedy="Make them larger.",
        )
    ]


def _label_height(face: Face, place: str, height_mm: float) -> list[Finding]:
    seen = arcmin_of(height_mm, face.viewing_distance_mm)
    if seen >= _LEAST_LABEL_ARCMIN * _NEAR:
        return []
    return [
        Finding(
            rule="label-height",
            severity=Severity.NOTE,
            place=place,
            message="This text is too small to be read at this distance.",
            measured=f"{seen:.1f} minutes of arc, {height_mm:.3g} mm",
            wanted=f"at least {_LEAST_LABEL_ARCMIN:g} minutes of arc, "
            f"{height_for_mm(_LEAST_LABEL_ARCMIN, face.viewing_distance_mm):.2f} mm "
            f"at {face.viewing_distance_mm:g} mm",
            source="NUREG-0700 r3 11.4.1.5-1",
            remedy="Make it larger, unless it need not be read from there.",
        )
    ]


def _figure_width(place: str, width_of_height: float | None) -> list[Finding]:
    if width_of_height is None or _NARROWEST * _NEAR <= width_of_height <= _WIDEST / _NEAR:
        return []
    return [
        Finding(
            rule="figure-width",
            severity=Severity.NOTE,
            place=place,
            message=f"The figures of this font are {'narrow' if width_of_height < _NARROWEST else 'wide'}.",
            measured=f"{width_of_height:.2f} of their height",
            wanted=f"{_NARROWEST:g} to {_WIDEST:g}",
            source="ISO 9241-3 as quoted by a maker's screen guide: 0.5 to 1 allowed, 0.7 to 0.9 preferred",
            remedy="Take a font of common width.",
        )
    ]


def _stroke(face: Face, ring: Ring, place: str, height_mm: float, stroke_mm: float) -> list[Finding]:
    light_on_dark = luminance(ring.ink_colour) > luminance(face.ground_colour)
    wanted = _STROKE_LIGHT if light_on_dark else _STROKE_DARK
    if stroke_mm >= height_mm * wanted * _NEAR:
        return []
    return [
        Finding(
            # only a stroke of one's own can be set at the touch of a button
            rule="font-stroke" if face.font_file else "stroke-to-height",
            severity=Severity.NOTE,
            place=place,
            message="The strokes are thin for the height of the numerals.",
            measured=f"1 : {height_mm / stroke_mm:.3g}",
            wanted=f"about 1 : {1.0 / wanted:g} for {'light on dark' if light_on_dark else 'dark on light'}",
            source="DOD-HDBK-791(AM) 6-5.3.2; drawing practice (ISO 3098, from memory) is 1 : 10",
            remedy="Take a bolder font."
            if face.font_file
            else f"Set the stroke to {height_mm * wanted:.2f} mm for reading at a glance.",
        )
    ]
