"""Rings that belong to a face: the spacer behind it and the bezel in front of it."""

from __future__ import annotations

from gaugecore.drawing.elements import Drawing
from gaugecore.drawing.plate import Hole, round_plate
from gaugecore.drawing.stock import StockNumber
from gaugecore.errors import DesignError
from gaugecore.face.face import Face, FixingHoles
from gaugecore.face.holes import fixing_holes_of
from gaugecore.values import Length, Part

#: Material left beside a hole; a laser cutting service asks for the sheet's thickness, 3 mm in 3 mm.
_WEB_MM = 3.0
_PLAIN_WIDTH_MM = 6.0


class Frame(Part):
    """What stands out beyond the face all round: the bezel ring, the spacer and the back plate share it."""

    diameter_mm: Length
    holes: FixingHoles | None = None
    """Screws through bezel ring, spacer and back plate, outside the face."""


class SpacerRing(Part):
    """A ring that keeps the face off the back plate."""

    stock: StockNumber = 0
    width_mm: Length | None = None
    """None: wide enough for the screws that go through it, with 3 mm of material beside them."""


class BezelRing(Part):
    """A ring in front that covers the edge of the face by its bezel width."""

    stock: StockNumber = 0


def outer_mm(face: Face, frame: Frame | None) -> float:
    """Return the diameter that the plates behind and before a face share."""
    return face.diameter_mm if frame is None else frame.diameter_mm


def frame_holes(frame: Frame | None) -> list[Hole]:
    """Return the screws outside the face."""
    return [] if frame is None else fixing_holes_of(frame.holes, "frame_holes")


def draw_spacer(face: Face, ring: SpacerRing, frame: Frame | None, *, name: str, title: str) -> Drawing:
    """Return the spacer ring, with those of the instrument's screws that go through it.

    Raises
    ------
    DesignError
        If no ring is left.
    """
    outer = outer_mm(face, frame)
    holes = [*fixing_holes_of(face.fixing_holes), *frame_holes(frame)]
    if ring.width_mm is not None:
        inner = outer - 2.0 * ring.width_mm
    else:
        circles = [h.pitch_circle_mm - h.diameter_mm for h in _circles(face, frame)]
        inner = min([outer - 2.0 * _PLAIN_WIDTH_MM, *(circle - 2.0 * _WEB_MM for circle in circles)])
    _check_ring(inner, outer, "spacer")
    # a screw that only passes through the opening needs no hole
    kept = [hole for hole in holes if _from_pivot_mm(hole) + hole.diameter_mm / 2.0 > inner / 2.0]
    return round_plate(
        name=name,
        title=title,
        words=f"spacer ring Ø {outer:g} / {inner:g} mm",
        diameter_mm=outer,
        holes=[*kept, Hole("opening", (0.0, 0.0), inner)],
    )


def draw_bezel(face: Face, frame: Frame | None, *, name: str, title: str) -> Drawing:
    """Return the bezel ring.

    Raises
    ------
    DesignError
        If the face has no bezel width, so that nothing would hold it.
    """
    outer, inner = outer_mm(face, frame), face.diameter_mm - 2.0 * face.bezel_mm
    if not face.bezel_mm:
        raise DesignError(
            "a bezel ring needs an edge to cover",
            where="face.bezel_mm",
            found=face.bezel_mm,
            accepted="more than 0 mm",
        )
    _check_ring(inner, outer, "bezel_ring")
    return round_plate(
        name=name,
        title=title,
        words=f"bezel ring Ø {outer:g} / {inner:g} mm",
        diameter_mm=outer,
        holes=[*frame_holes(frame), Hole("opening", (0.0, 0.0), inner)],
    )


def _circles(face: Face, frame: Frame | None) -> list[FixingHoles]:
    return [h for h in (face.fixing_holes, frame.holes if frame else None) if h is not None]


def _from_pivot_mm(hole: Hole) -> float:
    x_mm, y_mm = hole.centre_mm
    return float((x_mm**2 + y_mm**2) ** 0.5)


def _check_ring(inner_mm: float, outer_mm: float, field: str) -> None:
    if not 0.0 < inner_mm < outer_mm:
        raise DesignError(
            "no ring is left between opening and edge",
            where=f"making.{field}",
            found=f"opening Ø {inner_mm:g} mm, edge Ø {outer_mm:g} mm",
            accepted="an opening of more than 0 and less than the edge",
        )
