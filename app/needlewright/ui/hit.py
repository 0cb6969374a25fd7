"""Which element is under the pointer: distances from points to elements, in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import singledispatch

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath

from gaugecore.drawing.elements import AnyElement, Arc, Circle, Line, Operation, Outline, Strokes
from gaugecore.polar import Point, dial_to_xy_mm, xy_mm_to_dial
from needlewright.ui.painting import add_to_path


def element_at(elements: Sequence[AnyElement], point_mm: Point, reach_mm: float) -> AnyElement | None:
    """Return the element a click means: what it hits, else the nearest within reach; the topmost of equals.

    Guides are for people and are never meant. The ground lies under everything, so it is meant last.
    """
    best: tuple[float, AnyElement] | None = None
    ground: AnyElement | None = None
    for element in reversed(elements):
        if element.operation is Operation.GUIDE:
            continue
        away_mm = max(distance_mm(element, point_mm), 0.0)
        if element.part == "ground":
            ground = element if away_mm == 0.0 else None
        elif away_mm <= reach_mm and (best is None or away_mm < best[0]):
            best = (away_mm, element)
    return best[1] if best is not None else ground


@singledispatch
def distance_mm(element: AnyElement, point_mm: Point) -> float:
    """Return how far a point is from an element; 0 or less on it."""
    raise TypeError(f"no distance to {type(element).__name__}")


@distance_mm.register
def _(element: Line, point_mm: Point) -> float:
    return _to_segment_mm(point_mm, element.start_mm, element.end_mm) - element.width_mm / 2.0


@distance_mm.register
def _(element: Circle, point_mm: Point) -> float:
    away_mm = math.dist(point_mm, element.centre_mm) - element.radius_mm
    # inside a hole the hole is meant, not the ground that is not there
    is_hole = element.operation is Operation.CUT and element.part != "outline"
    return away_mm if element.filled or is_hole else abs(away_mm) - element.width_mm / 2.0


@distance_mm.register
def _(element: Arc, point_mm: Point) -> float:
    x_mm, y_mm = point_mm[0] - element.centre_mm[0], point_mm[1] - element.centre_mm[1]
    deg, radius_mm = xy_mm_to_dial(x_mm, y_mm)
    if (deg - element.start_deg) % 360.0 <= element.end_deg - element.start_deg:
        return abs(radius_mm - element.radius_mm) - element.width_mm / 2.0
    ends = (
        dial_to_xy_mm(end, element.radius_mm, element.centre_mm)
        for end in (element.start_deg, element.end_deg)
    )
    return min(math.dist(point_mm, end) for end in ends) - element.width_mm / 2.0


@distance_mm.register
def _(element: Outline, point_mm: Point) -> float:
    path = QPainterPath()
    add_to_path(element, path)
    if element.filled and path.contains(QPointF(*point_mm)):
        return 0.0
    corners = [[vertex[:2] for vertex in loop] for loop in element.loops]
    return min(
        _to_segment_mm(point_mm, a, b)
        for loop in corners
        for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)
    )


@distance_mm.register
def _(element: Strokes, point_mm: Point) -> float:
    points = [point for line in element.polylines for point in line]
    if not points:
        return math.inf
    # between its strokes a letter is meant too, so the box round them counts
    left_mm, right_mm = min(x for x, _ in points), max(x for x, _ in points)
    bottom_mm, top_mm = min(y for _, y in points), max(y for _, y in points)
    across_mm = max(left_mm - point_mm[0], 0.0, point_mm[0] - right_mm)
    up_mm = max(bottom_mm - point_mm[1], 0.0, point_mm[1] - top_mm)
    return math.hypot(across_mm, up_mm)


def _to_segment_mm(point_mm: Point, start_mm: Point, end_mm: Point) -> float:
    along_mm = (end_mm[0] - start_mm[0], end_mm[1] - start_mm[1])
    length2 = along_mm[0] ** 2 + along_mm[1] ** 2
    if length2 == 0:
        return math.dist(point_mm, start_mm)
    share = ((point_mm[0] - start_mm[0]) * along_mm[0] + (point_mm[1] - start_mm[1]) * along_mm[1]) / length2
    share = min(max(share, 0.0), 1.0)
    return math.dist(point_mm, (start_mm[0] + share * along_mm[0], start_mm[1] + share * along_mm[1]))
