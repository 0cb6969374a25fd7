"""The light layer of a back-lit dial: a mask of everything that must glow, a diffuser, a plate of lamps."""

from __future__ import annotations

import math
from collections.abc import Iterator
from enum import Enum
from typing import Annotated, Any, Final

import numpy as np
from pydantic import Field

from gaugecore.drawing.elements import AnyElement, Drawing, Operation, Outline
from gaugecore.drawing.plate import Hole, round_plate
from gaugecore.drawing.ring import circle_loop
from gaugecore.drawing.shapes import area_of, loops_of
from gaugecore.drawing.stock import StockNumber
from gaugecore.errors import DesignError
from gaugecore.face.face import Face, Marking
from gaugecore.face.fixed_marks import aperture_elements
from gaugecore.face.holes import centre_hole_of, fixing_holes_of
from gaugecore.face.layout import lay_out_face
from gaugecore.polar import dial_to_xy_mm
from gaugecore.values import Length, Part

#: Lamps no farther apart than they are from the diffuser blend into one another: common practice, no source.
_SPACING_OF_DEPTH: Final = 1.0
_FEWEST_LAMPS: Final = 3
_MOST_LAMPS: Final = 200
#: Tried when no circle is given.
_CIRCLE_STEPS_MM: Final = (0.0, 2.0, -2.0, 4.0, -4.0, 6.0, -6.0, 8.0, -8.0)
_WEB_MM: Final = 1.0
#: Turns tried for a ring of lamps that must keep clear of screws.
_TURNS: Final = 48


class Glow(Enum):
    """What of a face glows."""

    GRADUATIONS = "graduations"
    NUMERALS = "numerals"
    LEGENDS = "legends"
    DETENT_MARKS = "detent_marks"
    SECTORS = "sectors"  #: with the limit lines
    ICONS = "icons"  #: with index triangles and the lubber line


#: What glows together with something else.
_WITH: Final = {Glow.SECTORS: ("limit_lines",), Glow.ICONS: ("index_triangles", "lubber_line")}


class MaskKind(Enum):
    """How the mask is made."""

    FILM = "film"  #: printed on film, opaque all round what glows
    PAINT = "paint"  #: a painted sheet, its paint burnt away where it glows


class Lamps(Part):
    """Lamps on a circle about the pivot, behind the diffuser."""

    stock: StockNumber = 0
    circle_mm: Length | None = None
    """Diameter of the circle; none: through the middle of graduations and numerals."""
    count: Annotated[int, Field(ge=1, le=200)] | None = None
    """None: as many as stand no farther apart than they are from the diffuser."""
    depth_mm: Length = 12.0
    """From the lamps to the diffuser."""
    hole_mm: Length = 5.1
    """Hole of one lamp; 5.1 mm for a round 5 mm LED: common practice, no source."""


class LightLayer(Part):
    """What lies behind a back-lit face."""

    mask: MaskKind = MaskKind.FILM
    mask_stock: StockNumber = 0
    """The painted sheet; a film is printed on paper pages."""
    glow: Annotated[tuple[Glow, ...], Field(min_length=1, max_length=6)] = tuple(Glow)
    diffuser: bool = True
    diffuser_stock: StockNumber = 0
    lamps: Lamps | None = Lamps()


def draw_mask(face: Face, light: LightLayer, *, name: str, title: str) -> Drawing:
    """Return the mask: opaque but for what glows, or what is to be burnt out of the paint."""
    glowing = glow_area(face, light.glow)
    if light.mask is MaskKind.FILM:
        loops = circle_loop(face.diameter_mm / 2.0), *loops_of(glowing)
        shown = Outline(operation=Operation.MASK, part="mask", loops=loops, filled=True)
    else:
        shown = Outline(operation=Operation.ENGRAVE, part="mask", loops=loops_of(glowing), filled=True)
    return round_plate(
        name=name,
        title=title,
        words=f"mask, {light.mask.value}, Ø {face.diameter_mm:g} mm",
        diameter_mm=face.diameter_mm,
        holes=[*centre_hole_of(face), *fixing_holes_of(face.fixing_holes)],
        under=[shown],
        cuts=aperture_elements(face),
    )


def glow_area(face: Face, glow: tuple[Glow, ...]) -> Any:
    """Return what of a face glows, as one shapely area, kept inside the disc."""
    from shapely import union_all

    kinds = {kind for word in glow for kind in (word.value, *_WITH.get(word, ()))}
    # however the face is marked, it is the shape of its marks that glows
    printed = face.model_copy(update={"marking": Marking.PRINT})
    drawn = lay_out_face(printed, name="", title="").elements
    areas = [area_of(element) for element in drawn if _glows(element, kinds)]
    disc = area_of(
        Outline(operation=Operation.GUIDE, part="", loops=(circle_loop(face.diameter_mm / 2.0),), filled=True)
    )
    return union_all(areas).intersection(disc)


def _glows(element: AnyElement, kinds: set[str]) -> bool:
    kind = element.part.removeprefix("second.").split(".")[0]
    return element.operation is Operation.PRINT and kind in kinds


def draw_diffuser(face: Face, *, name: str, title: str) -> Drawing:
    """Return the disc of milky sheet that spreads the light."""
    return round_plate(
        name=name,
        title=title,
        words=f"diffuser Ø {face.diameter_mm:g} mm",
        diameter_mm=face.diameter_mm,
        holes=[*centre_hole_of(face), *fixing_holes_of(face.fixing_holes)],
        cuts=aperture_elements(face),
    )


def draw_lamps(face: Face, lamps: Lamps, *, name: str, title: str) -> Drawing:
    """Return the plate that carries the lamps.

    Raises
    ------
    DesignError
        If the lamps cannot stand clear of each other, the screws and the edge.
    """
    places = lamp_places(face, lamps)
    return round_plate(
        name=name,
        title=title,
        words=f"lamps, {len(places)} of Ø {lamps.hole_mm:g} mm",
        diameter_mm=face.diameter_mm,
        holes=[*centre_hole_of(face), *fixing_holes_of(face.fixing_holes), *places],
        cuts=aperture_elements(face),
    )


def lamp_places(face: Face, lamps: Lamps) -> list[Hole]:
    """Return where the lamps stand: evenly on their circle, turned as far from the screws as can be.

    A circle or a number that is not given gives way when there is no room.

    Raises
    ------
    DesignError
        If they cannot stand clear of each other, the screws and the edge.
    """
    first = None
    for circle_mm, count in _tries(face, lamps):
        ring, clear_mm = _best_ring(face, lamps, circle_mm, count)
        if clear_mm >= _WEB_MM:
            return ring
        first = first or (circle_mm, count, clear_mm)
    assert first is not None  # there is always a first try
    circle_mm, count, clear_mm = first
    raise DesignError(
        "the lamps stand too close to each other, a hole or the edge",
        where="making.light.lamps",
        found=f"{count} of Ø {lamps.hole_mm:g} mm on a circle of {circle_mm:g} mm, "
        f"{clear_mm:.2f} mm of material left",
        accepted=f"at least {_WEB_MM:g} mm; fewer lamps or another circle",
    )


def _tries(face: Face, lamps: Lamps) -> Iterator[tuple[float, int]]:
    """Yield circles and numbers, the best first: nearest to the middle, then ever fewer lamps."""
    if lamps.circle_mm is None:
        middle_mm = _middle_circle_mm(face)
        circles = [middle_mm + step for step in _CIRCLE_STEPS_MM if middle_mm + step > 0.0]
    else:
        middle_mm = lamps.circle_mm
        circles = [middle_mm]
    count = lamps.count or math.ceil(math.pi * middle_mm / (_SPACING_OF_DEPTH * lamps.depth_mm))
    fewest = lamps.count or _FEWEST_LAMPS
    count = min(max(count, fewest), _MOST_LAMPS)
    while True:
        for circle_mm in circles:
            yield circle_mm, count
        if count <= fewest:
            return
        count = max(fewest, min(count - 1, int(0.95 * count)))


def _best_ring(face: Face, lamps: Lamps, circle_mm: float, count: int) -> tuple[list[Hole], float]:
    """Return the lamps turned to where the least material beside them is most, and that material."""
    # a window counts as the circle about it
    windows = [
        Hole("", (window.x_mm, window.y_mm), math.hypot(window.width_mm, window.height_mm))
        for window in face.apertures
    ]
    others = [*centre_hole_of(face), *fixing_holes_of(face.fixing_holes), *windows]
    turns = [360.0 / count * turn / _TURNS for turn in range(_TURNS)]
    clear = [_clear_mm(_ring(circle_mm, count, lamps, turn), others) for turn in turns]
    # rounded, or dust would choose between turns that are equally good
    best = max(range(_TURNS), key=lambda n: (round(clear[n], 6), -n))
    edge_mm = (face.diameter_mm - circle_mm - lamps.hole_mm) / 2.0
    return _ring(circle_mm, count, lamps, turns[best]), min(clear[best], edge_mm)


def _middle_circle_mm(face: Face) -> float:
    outer_mm = face.graduations.outer_radius_mm
    inner_mm = outer_mm - face.graduations.major.length_mm
    if face.numerals is not None:
        inner_mm = min(inner_mm, face.numerals.radius_mm)
        outer_mm = max(outer_mm, face.numerals.radius_mm)
    return inner_mm + outer_mm


def _ring(circle_mm: float, count: int, lamps: Lamps, turn_deg: float) -> list[Hole]:
    return [
        Hole(f"lamps.{n}", dial_to_xy_mm(turn_deg + 360.0 * n / count, circle_mm / 2.0), lamps.hole_mm)
        for n in range(count)
    ]


def _clear_mm(ring: list[Hole], others: list[Hole]) -> float:
    """Return the least material between any lamp and its neighbours, as far as they have any."""
    clear_mm = math.inf
    if len(ring) > 1:
        clear_mm = math.dist(ring[0].centre_mm, ring[1].centre_mm) - ring[0].diameter_mm
    if others:
        lamps, holes = (np.array([hole.centre_mm for hole in each]) for each in (ring, others))
        apart = np.hypot(*(lamps[:, None, :] - holes[None, :, :]).transpose(2, 0, 1))
        half = (ring[0].diameter_mm + np.array([hole.diameter_mm for hole in others])) / 2.0
        clear_mm = min(clear_mm, float((apart - half).min()))
    return clear_mm
