"""The face turned into elements, at true size, pivot at the origin."""

from __future__ import annotations

from gaugecore.drawing.elements import (
    AnyElement,
    Box,
    Circle,
    Drawing,
    Operation,
    Outline,
)
from gaugecore.drawing.guides import CUT_COLOUR, MARGIN_MM, caption, centre_mark
from gaugecore.drawing.lettering import letter
from gaugecore.drawing.ring import ring_loops
from gaugecore.errors import DesignError
from gaugecore.face.detents import detent_elements
from gaugecore.face.face import Face
from gaugecore.face.ring_elements import graduation_elements, numeral_elements, placed
from gaugecore.face.rings import rings_of
from gaugecore.face.scale import angle_deg, value_range
from gaugecore.polar import dial_to_xy_mm


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
    rings = rings_of(face)
    return Drawing(
        name=name,
        title=title,
        box=Box(left_mm=-half_mm, bottom_mm=-half_mm, right_mm=half_mm, top_mm=half_mm),
        elements=(
            _ground(face),
            *_sectors(face),
            *(element for ring in rings for element in graduation_elements(ring, face)),
            *detent_elements(face),
            *(element for ring in rings for element in numeral_elements(ring, face)),
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
            raise placed(error, f"legends.{index}.text") from error
    return drawn


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
