"""Closed loops as polygons of a geometry library, for what it can do better: inside, apart, widened.

Arcs become chords that leave them by less than `gaugecore.drawing.ink.SAGITTA_MM`. The library is loaded when
a function is first called.
"""

from __future__ import annotations

from functools import reduce
from typing import Any

from gaugecore.drawing.elements import AnyElement, Operation, Outline, Vertex
from gaugecore.drawing.ink import ink_of


def polygon_of(*loops: tuple[Vertex, ...]) -> Any:
    """Return the area that loops enclose, even-odd, as a shapely geometry."""
    return area_of(Outline(operation=Operation.GUIDE, part="", loops=loops, filled=True))


def area_of(element: AnyElement) -> Any:
    """Return the area inside a closed element, or under the ink of a line, as a shapely geometry."""
    from shapely import LineString, Polygon, union_all

    ink = ink_of(element, solid=True)
    if ink is None:
        return Polygon()
    if ink.loops:
        areas = [Polygon(loop).buffer(0) for loop in ink.loops]
        return reduce(lambda one, other: one.symmetric_difference(other), areas)
    return union_all([LineString([chord[:2], chord[2:]]).buffer(ink.half_width_mm) for chord in ink.chords])
