"""The holes that plates of one instrument share, from one place, so that they cannot disagree."""

from __future__ import annotations

from gaugecore.drawing.plate import Hole
from gaugecore.face.face import Face, FixingHoles
from gaugecore.polar import dial_to_xy_mm


def centre_hole_of(face: Face) -> list[Hole]:
    """Return the hole for the arbor, when there is one."""
    return [Hole("centre_hole", (0.0, 0.0), face.centre_hole_mm)] if face.centre_hole_mm else []


def fixing_holes_of(holes: FixingHoles | None, part: str = "fixing_holes") -> list[Hole]:
    """Return holes on a circle about the pivot, one by one."""
    if holes is None:
        return []
    return [
        Hole(
            f"{part}.{number}",
            dial_to_xy_mm(holes.first_deg + 360.0 * number / holes.count, holes.pitch_circle_mm / 2.0),
            holes.diameter_mm,
        )
        for number in range(holes.count)
    ]
