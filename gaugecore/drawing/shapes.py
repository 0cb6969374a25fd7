"""Closed loops as polygons of a geometry library, for what it can do better: inside, apart, widened.

Arcs become chords that leave them by less than `gaugecore.drawing.ink.SAGITTA_MM`. The library is loaded when
a function is first called.
"""

from __future__ import annotations

from functools import reduce
from typing import Any

from gaugecore.drawing.elements import AnyElement, Arc, Line, Operation, Outline, Vertex
from gaugecore.drawing.ink import ink_of


def polygon_of(*loops: tuple[Vertex, ...]) -> Any:
    """Return the area that loops enclose, even-odd, as a shapely geometry."""
    return area_of(Outline(operation=Operation.GUIDE, part="", loops=loops, filled=True))


def area_of(element: AnyElement) -> Any:
    """Return the area an element covers as a shapely geometry, its line's width included.

    A line of no width covers nothing; of a closed element that is not filled, only its line counts.
    """
    from shapely import LineString, Polygon, union_all

    ink = ink_of(element)
    if ink is None:
        return Polygon()
    areas = [Polygon(loop).buffer(0) for loop in ink.loops]
    inside = reduce(lambda one, other: one.symmetric_difference(other), areas, Polygon())
    if not ink.half_width_mm:
        return inside
    ends = "flat" if isinstance(element, Line | Arc) else "round"
    lines = [LineString(path).buffer(ink.half_width_mm, cap_style=ends) for path in _paths(ink.chords)]
    return union_all([inside, *lines])


def loops_of(area: Any) -> tuple[tuple[Vertex, ...], ...]:
    """Return the loops around a shapely area, to be filled even-odd; curves are chords."""
    from shapely import get_parts

    rings = [
        ring
        for part in get_parts(area)
        if part.geom_type == "Polygon"
        for ring in (part.exterior, *part.interiors)
    ]
    return tuple(tuple((float(x), float(y), 0.0) for x, y in ring.coords[:-1]) for ring in rings)


def _paths(chords: Any) -> list[list[tuple[float, float]]]:
    """Return chords joined to the paths they came from: one begins wherever the last did not end."""
    paths: list[list[tuple[float, float]]] = []
    for x, y, next_x, next_y in chords.tolist():
        if paths and paths[-1][-1] == (x, y):
            paths[-1].append((next_x, next_y))
        else:
            paths.append([(x, y), (next_x, next_y)])
    return paths
