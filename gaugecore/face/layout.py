"""The face turned into elements, at true size, pivot at the origin."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from gaugecore.drawing.elements import (
    AnyElement,
    Box,
    Circle,
    Drawing,
    Operation,
    Outline,
)
from gaugecore.drawing.guides import MARGIN_MM, caption, centre_mark, fits
from gaugecore.drawing.plate import Hole, cut_hole
from gaugecore.face.detents import detent_elements
from gaugecore.face.face import Face, Marking
from gaugecore.face.fixed_marks import aperture_elements, fixed_elements, legend_elements
from gaugecore.face.holes import centre_hole_of, fixing_holes_of
from gaugecore.face.ring_elements import graduation_elements, numeral_elements
from gaugecore.face.scale_rings import rings_of
from gaugecore.face.sectors import sector_elements

_BURNT_COLOUR: Final = "#000000"


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
            *_marked(face, _marks(face)),
            *_cuts(face),
            *_guides(face, title),
        ),
    )


def _marks(face: Face) -> list[AnyElement]:
    rings = rings_of(face)
    return [
        _ground(face),
        *sector_elements(face),
        *(element for ring in rings for element in graduation_elements(ring, face)),
        *detent_elements(face),
        *(element for ring in rings for element in numeral_elements(ring, face)),
        *fixed_elements(face),
        *legend_elements(face),
    ]


def _marked(face: Face, marks: list[AnyElement]) -> list[AnyElement]:
    """Return marks on the operation that makes them."""
    if face.marking is Marking.PRINT:
        return marks
    # the material itself is the ground; a scorer follows lines and fills nothing
    operation = Operation.ENGRAVE if face.marking is Marking.ENGRAVE else Operation.SCORE
    # nor has what is burnt a colour of its own: light ink for a dark face would not show on the drawing
    made = [
        replace(mark, operation=operation, colour=_BURNT_COLOUR) for mark in marks if mark.part != "ground"
    ]
    if face.marking is Marking.SCORE:
        made = [replace(m, filled=False) if isinstance(m, (Circle, Outline)) else m for m in made]
    return made


def _ground(face: Face) -> Circle:
    return Circle(
        operation=Operation.PRINT,
        part="ground",
        colour=face.ground_colour,
        centre_mm=(0.0, 0.0),
        radius_mm=face.diameter_mm / 2.0,
        filled=True,
    )


def _cuts(face: Face) -> list[AnyElement]:
    # holes before the outline: once the disc is cut free it may shift
    holes = [*centre_hole_of(face), *fixing_holes_of(face.fixing_holes)]
    outline = Hole("outline", (0.0, 0.0), face.diameter_mm)
    return [*aperture_elements(face), *(cut_hole(hole) for hole in (*holes, outline))]


def _guides(face: Face, title: str) -> list[AnyElement]:
    longest_mm = face.diameter_mm + MARGIN_MM
    words = f"{title} · face Ø {face.diameter_mm:g} mm"
    if 0.0 < face.bezel_mm < face.diameter_mm / 2.0:
        more = f"{words}, seen Ø {face.diameter_mm - 2.0 * face.bezel_mm:g} mm"
        words = more if fits(more, longest_mm=longest_mm) else words
    under_the_disc = (0.0, -face.diameter_mm / 2.0 - MARGIN_MM / 2.0)
    return [*centre_mark(), caption(words, at_mm=under_the_disc, longest_mm=longest_mm)]
