"""The face turned into elements, at true size, pivot at the origin."""

from __future__ import annotations

from gaugecore.drawing.elements import (
    AnyElement,
    Arc,
    Box,
    Circle,
    Drawing,
    Line,
    Operation,
    Outline,
)
from gaugecore.drawing.guides import CUT_COLOUR, MARGIN_MM, caption, centre_mark
from gaugecore.drawing.lettering import letter
from gaugecore.drawing.ring import ring_loops
from gaugecore.errors import DesignError
from gaugecore.face.detents import detent_elements
from gaugecore.face.face import Face, Numerals, Orientation
from gaugecore.face.graduations import Rank, graduations_of, numerals_of, style_of
from gaugecore.face.scale import angle_deg, value_range
from gaugecore.polar import dial_to_xy_mm, xy_mm_to_dial


def lay_out_face(face: Face, *, name: str, title: str) -> Drawing:
    """Return the drawing of a face.

    Parameters
    ----------
    face : Face
        What to draw. What lies beyond the scale is left out; `check_face` says so.
    name, title : str
        For file names and for people.

    Returns
    -------
    Drawing
        From the ground up: disc, sectors, graduations, detent marks, numerals, legends, cuts, guides.

    Raises
    ------
    DesignError
        If a text cannot be lettered, or a step makes more marks than a ring can hold.
    """
    half_mm = face.diameter_mm / 2.0 + MARGIN_MM
    return Drawing(
        name=name,
        title=title,
        box=Box(left_mm=-half_mm, bottom_mm=-half_mm, right_mm=half_mm, top_mm=half_mm),
        elements=(
            _ground(face),
            *_sectors(face),
            *_graduations(face),
            *detent_elements(face),
            *_numerals(face),
            *_legends(face),
            *_cuts(face),
            *_guides(face, title),
        ),
    )


def _ground(face: Face) -> Circle:
    return Circle(
        operation=Operation.PRINT,
        part="ground",
        colour=face.ground_colour,
        centre_mm=(0.0, 0.0),
        radius_mm=face.diameter_mm / 2.0,
        filled=True,
    )


def _sectors(face: Face) -> list[Outline]:
    low, high = value_range(face.scale)
    drawn = []
    for index, sector in enumerate(face.sectors):
        from_value, to_value = max(sector.low_value, low), min(sector.high_value, high)
        if from_value >= to_value or sector.inner_radius_mm >= sector.outer_radius_mm:
            continue
        ends = sorted((angle_deg(face.scale, from_value), angle_deg(face.scale, to_value)))
        drawn.append(
            Outline(
                operation=Operation.PRINT,
                part=f"sectors.{index}",
                colour=sector.colour,
                filled=True,
                loops=ring_loops(sector.inner_radius_mm, sector.outer_radius_mm, ends[0], ends[1]),
            )
        )
    return drawn


def _graduations(face: Face) -> list[AnyElement]:
    outer_mm = face.graduations.outer_radius_mm
    drawn: list[AnyElement] = list(_base_arc(face))
    # the least important first, so that a crowded major still stands whole
    ranked = sorted(graduations_of(face), key=lambda g: list(Rank).index(g.rank), reverse=True)
    for graduation in ranked:
        style = style_of(face, graduation.rank)
        drawn.append(
            Line(
                operation=Operation.PRINT,
                part=f"graduations.{graduation.rank.value}.{graduation.value:.12g}",
                width_mm=style.width_mm,
                colour=face.ink_colour,
                start_mm=dial_to_xy_mm(graduation.dial_deg, outer_mm),
                end_mm=dial_to_xy_mm(graduation.dial_deg, outer_mm - style.length_mm),
            )
        )
    return drawn


def _base_arc(face: Face) -> list[AnyElement]:
    """Return the arc along the outer ends, as far as the edges of the first and the last graduation."""
    width_mm = face.graduations.base_arc_width_mm
    marks = graduations_of(face)
    if not width_mm or len(marks) < 2:
        return []
    radius_mm = face.graduations.outer_radius_mm - width_mm / 2.0
    first, last = sorted((marks[0], marks[-1]), key=lambda mark: mark.dial_deg)
    start_deg = first.dial_deg - _half_width_deg(style_of(face, first.rank).width_mm, radius_mm)
    end_deg = last.dial_deg + _half_width_deg(style_of(face, last.rank).width_mm, radius_mm)
    scale_span_deg = abs(face.scale.points[-1][1] - face.scale.points[0][1])
    if scale_span_deg >= 360.0 or end_deg - start_deg >= 360.0:
        return [
            Circle(
                operation=Operation.PRINT,
                part="graduations.base_arc",
                width_mm=width_mm,
                colour=face.ink_colour,
                centre_mm=(0.0, 0.0),
                radius_mm=radius_mm,
            )
        ]
    return [
        Arc(
            operation=Operation.PRINT,
            part="graduations.base_arc",
            width_mm=width_mm,
            colour=face.ink_colour,
            centre_mm=(0.0, 0.0),
            radius_mm=radius_mm,
            start_deg=start_deg,
            end_deg=end_deg,
        )
    ]


def _half_width_deg(width_mm: float, radius_mm: float) -> float:
    return xy_mm_to_dial(width_mm / 2.0, radius_mm)[0]


def _numerals(face: Face) -> list[AnyElement]:
    style = face.numerals
    if style is None:
        return []
    drawn: list[AnyElement] = []
    for numeral in numerals_of(face):
        try:
            drawn.append(
                letter(
                    numeral.text,
                    operation=Operation.PRINT,
                    part=f"numerals.{numeral.value:.12g}",
                    height_mm=style.height_mm,
                    stroke_mm=style.stroke_mm,
                    at_mm=dial_to_xy_mm(numeral.dial_deg, style.radius_mm),
                    turn_deg=turn_deg(style, numeral.dial_deg),
                    colour=face.ink_colour,
                )
            )
        except DesignError as error:
            raise _placed(error, "numerals.texts") from error
    return drawn


def turn_deg(style: Numerals, dial_deg: float) -> float:
    """Return how far a numeral is turned clockwise from upright."""
    if style.orientation is Orientation.UPRIGHT:
        return 0.0
    if style.orientation is Orientation.TANGENTIAL:
        return dial_deg
    # along the radius, and never upside down: outward on the right half, inward on the left
    return dial_deg - 90.0 if dial_deg % 360.0 <= 180.0 else dial_deg + 90.0


def _legends(face: Face) -> list[AnyElement]:
    drawn: list[AnyElement] = []
    for index, legend in enumerate(face.legends):
        try:
            drawn.append(
                letter(
                    legend.text,
                    operation=Operation.PRINT,
                    part=f"legends.{index}",
                    height_mm=legend.height_mm,
                    stroke_mm=legend.stroke_mm,
                    at_mm=(legend.x_mm, legend.y_mm),
                    colour=legend.colour or face.ink_colour,
                )
            )
        except DesignError as error:
            raise _placed(error, f"legends.{index}.text") from error
    return drawn


def _placed(error: DesignError, where: str) -> DesignError:
    fault = error.fault
    return DesignError(fault.what, where=where, found=fault.found, accepted=fault.accepted)


def _cuts(face: Face) -> list[AnyElement]:
    rings: list[tuple[str, tuple[float, float], float]] = []
    if face.centre_hole_mm:
        rings.append(("centre_hole", (0.0, 0.0), face.centre_hole_mm))
    if face.fixing_holes is not None:
        holes = face.fixing_holes
        for index in range(holes.count):
            dial_deg = holes.first_deg + 360.0 * index / holes.count
            centre_mm = dial_to_xy_mm(dial_deg, holes.pitch_circle_mm / 2.0)
            rings.append((f"fixing_holes.{index}", centre_mm, holes.diameter_mm))
    # holes before the outline: once the disc is cut free it may shift
    rings.append(("outline", (0.0, 0.0), face.diameter_mm))
    return [
        Circle(
            operation=Operation.CUT,
            part=part,
            colour=CUT_COLOUR,
            centre_mm=centre_mm,
            radius_mm=diameter_mm / 2.0,
        )
        for part, centre_mm, diameter_mm in rings
    ]


def _guides(face: Face, title: str) -> list[AnyElement]:
    words = f"{title} · face Ø {face.diameter_mm:g} mm"
    if 0.0 < face.bezel_mm < face.diameter_mm / 2.0:
        words += f", seen Ø {face.diameter_mm - 2.0 * face.bezel_mm:g} mm"
    under_the_disc = (0.0, -face.diameter_mm / 2.0 - MARGIN_MM / 2.0)
    return [*centre_mark(), caption(words, at_mm=under_the_disc, longest_mm=face.diameter_mm)]
