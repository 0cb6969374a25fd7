"""Detent marks: the labelled stops of a face."""

from __future__ import annotations

from typing import Final

from gaugecore.drawing.elements import AnyElement, Arc, Box, Line, Operation, Outline
from gaugecore.drawing.ink import ink_of
from gaugecore.face.face import DetentMark, DetentShape, Ends, Face
from gaugecore.face.scale import angle_deg, value_range
from gaugecore.face.words import word
from gaugecore.polar import Point, dial_to_xy_mm, turned

#: A triangle as long as a major graduation, this wide against its length.
_TRIANGLE_WIDTH_OF_LENGTH: Final = 0.8
#: A bar this broad against a major graduation.
_BAR_OF_MAJOR: Final = 2.0
#: Clear space between mark and label, against the label's height.
_LABEL_GAP_OF_HEIGHT: Final = 0.4
#: A tolerance beyond a base arc, by its own width: half of it and as much clear ground.
_TOLERANCE_OFF_WIDTHS: Final = 1.5
#: Label height against that of the numerals, and where there are none, in mm.
_LABEL_OF_NUMERAL: Final = 0.8
_LABEL_HEIGHT_MM: Final = 3.1


def detent_elements(face: Face) -> list[AnyElement]:
    """Return the elements of all detent marks that lie on the scale."""
    low, high = value_range(face.scale)
    drawn: list[AnyElement] = []
    for index, mark in enumerate(face.detent_marks):
        if low <= mark.value <= high:
            drawn.extend(_mark(face, mark, f"detent_marks.{index}"))
    return drawn


def label_height_mm(face: Face) -> float:
    """Return the capital height of the labels of detent marks."""
    return _LABEL_HEIGHT_MM if face.numerals is None else face.numerals.height_mm * _LABEL_OF_NUMERAL


def _mark(face: Face, mark: DetentMark, part: str) -> list[AnyElement]:
    dial_deg = angle_deg(face.scale, mark.value)
    outer_mm = face.graduations.outer_radius_mm
    inner_mm = outer_mm - face.graduations.major.length_mm
    colour = mark.colour or face.ink_colour
    # whatever rank the value has, a stop that must be hit gets a line as long as a major graduation
    broader = _BAR_OF_MAJOR if mark.shape is DetentShape.BAR else 1.0
    drawn: list[AnyElement] = [
        Line(
            operation=Operation.PRINT,
            part=part,
            width_mm=face.graduations.major.width_mm * broader,
            colour=colour,
            start_mm=dial_to_xy_mm(dial_deg, outer_mm),
            end_mm=dial_to_xy_mm(dial_deg, inner_mm),
        )
    ]
    foot_mm = inner_mm
    if mark.shape is DetentShape.TRIANGLE:
        foot_mm -= face.graduations.major.length_mm
        drawn.append(
            Outline(
                operation=Operation.PRINT,
                part=f"{part}.triangle",
                width_mm=face.graduations.minor.width_mm,
                colour=colour,
                loops=(_triangle(dial_deg, inner_mm, foot_mm),),
            )
        )
    if mark.show_tolerance:
        drawn.append(
            Arc(
                operation=Operation.PRINT,
                part=f"{part}.tolerance",
                width_mm=face.graduations.minor.width_mm,
                colour=colour,
                centre_mm=(0.0, 0.0),
                radius_mm=_tolerance_radius_mm(face),
                start_deg=dial_deg - mark.tolerance_deg,
                end_deg=dial_deg + mark.tolerance_deg,
            )
        )
    return [*drawn, *_label(face, mark, part, dial_deg, foot_mm)]


def _tolerance_radius_mm(face: Face) -> float:
    """Return the graduations' outer circle, or just beyond it where a base arc would hide the arc."""
    rings = face.graduations
    if rings.base_arc_width_mm and rings.aligned is Ends.OUTER:
        return rings.outer_radius_mm + rings.minor.width_mm * _TOLERANCE_OFF_WIDTHS
    return rings.outer_radius_mm


def _triangle(dial_deg: float, tip_mm: float, foot_mm: float) -> tuple[tuple[float, float, float], ...]:
    half_mm = (tip_mm - foot_mm) * _TRIANGLE_WIDTH_OF_LENGTH / 2.0
    corners = ((0.0, tip_mm), (half_mm, foot_mm), (-half_mm, foot_mm))
    return tuple((*turned(corner, dial_deg), 0.0) for corner in corners)


def _label(face: Face, mark: DetentMark, part: str, dial_deg: float, foot_mm: float) -> list[AnyElement]:
    height_mm = label_height_mm(face)

    def placed_at(at_mm: Point) -> list[AnyElement]:
        return word(
            face,
            mark.label,
            part=f"{part}.label",
            where=f"{part}.label",
            height_mm=height_mm,
            at_mm=at_mm,
            colour=mark.colour,
        )

    if mark.label_radius_mm is not None:
        return placed_at(dial_to_xy_mm(dial_deg, mark.label_radius_mm))
    inks = [ink for element in placed_at((0.0, 0.0)) if (ink := ink_of(element)) is not None]
    if not inks:
        return []
    return placed_at(_just_inside(inks[0].box, height_mm, dial_deg, foot_mm))


def _just_inside(box: Box, height_mm: float, dial_deg: float, foot_mm: float) -> Point:
    """Return the middle of an upright label that stands clear of a mark's foot, toward the pivot."""
    # half the extent of the label's box along the radius: the support of a rectangle
    across, along = dial_to_xy_mm(dial_deg, 1.0)
    reach_mm = abs(across) * box.width_mm / 2.0 + abs(along) * box.height_mm / 2.0
    return dial_to_xy_mm(dial_deg, foot_mm - height_mm * _LABEL_GAP_OF_HEIGHT - reach_mm)
