"""Sectors and limit lines: the coloured parts of a scale."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from gaugecore.drawing.elements import AnyElement, Line, Operation, Outline
from gaugecore.drawing.ring import ring_loops
from gaugecore.face.face import Face, Sector
from gaugecore.face.scale import angle_deg, value_range
from gaugecore.polar import arc_length_mm, dial_to_xy_mm

#: Hatching leans by 45°, with lines this far apart and this thick against their distance.
_HATCH_MM: Final = 1.4
_HATCH_WIDTH: Final = 0.4
#: Below what any machine can show, and above floating point dust.
_SAME_PLACE_DEG: Final = 1e-6


def sector_elements(face: Face) -> list[AnyElement]:
    """Return the sectors and limit lines of a face; what lies off the scale is left out."""
    drawn: list[AnyElement] = []
    for index, sector in enumerate(face.sectors):
        ends = sector_ends_deg(face, sector)
        if ends is not None:
            drawn += _sector(sector, f"sectors.{index}", *ends)
    low, high = value_range(face.scale)
    for index, limit in enumerate(face.limit_lines):
        if low <= limit.value <= high:
            dial_deg = angle_deg(face.scale, limit.value)
            drawn.append(
                Line(
                    operation=Operation.PRINT,
                    part=f"limit_lines.{index}",
                    width_mm=limit.width_mm,
                    colour=limit.colour,
                    start_mm=dial_to_xy_mm(dial_deg, limit.outer_radius_mm),
                    end_mm=dial_to_xy_mm(dial_deg, limit.inner_radius_mm),
                )
            )
    return drawn


def sector_ends_deg(face: Face, sector: Sector) -> tuple[float, float] | None:
    """Return the dial angles between which a sector is drawn, rising; None when it has no area."""
    low, high = value_range(face.scale)
    from_value, to_value = max(sector.low_value, low), min(sector.high_value, high)
    if from_value >= to_value or sector.inner_radius_mm >= sector.outer_radius_mm:
        return None
    start_deg, end_deg = sorted((angle_deg(face.scale, from_value), angle_deg(face.scale, to_value)))
    # a very uneven scale may put both in one place
    return (start_deg, end_deg) if end_deg - start_deg > _SAME_PLACE_DEG else None


def _sector(sector: Sector, part: str, start_deg: float, end_deg: float) -> Iterator[AnyElement]:
    loops = ring_loops(sector.inner_radius_mm, sector.outer_radius_mm, start_deg, end_deg)
    if not sector.hatched:
        yield Outline(operation=Operation.PRINT, part=part, colour=sector.colour, filled=True, loops=loops)
        return
    yield Outline(
        operation=Operation.PRINT,
        part=part,
        colour=sector.colour,
        width_mm=_HATCH_MM * _HATCH_WIDTH / 2.0,
        loops=loops,
    )
    middle_mm = (sector.inner_radius_mm + sector.outer_radius_mm) / 2.0
    depth_mm = sector.outer_radius_mm - sector.inner_radius_mm
    mm_per_deg = arc_length_mm(middle_mm, 1.0)
    lean_deg = depth_mm / mm_per_deg
    step_deg = _HATCH_MM / mm_per_deg
    count = int((end_deg - start_deg + lean_deg) / step_deg)
    for number in range(1, count + 1):
        foot_deg = start_deg - lean_deg + number * step_deg
        # shares of the way outward at which the line enters and leaves the sector
        enters = max(0.0, (start_deg - foot_deg) / lean_deg)
        leaves = min(1.0, (end_deg - foot_deg) / lean_deg)
        if enters < leaves:
            start_mm, end_mm = (
                dial_to_xy_mm(foot_deg + share * lean_deg, sector.inner_radius_mm + share * depth_mm)
                for share in (enters, leaves)
            )
            yield Line(
                operation=Operation.PRINT,
                part=f"{part}.hatch",
                width_mm=_HATCH_MM * _HATCH_WIDTH,
                colour=sector.colour,
                start_mm=start_mm,
                end_mm=end_mm,
            )
