"""What a letter fills: fonts let contours overlap and fill by winding, writers fill even-odd.

Filled even-odd, the overlap of two bars of a letter would be a hole.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from gaugecore.drawing.shapes import loops_of
from gaugecore.polar import Point

Loop = tuple[Point, ...]

#: A letter of more points is no letter; lines that all cross each other would take very long.
_MOST_POINTS: Final = 1000


def filled_by_winding(loops: Sequence[Loop]) -> tuple[Loop, ...]:
    """Return loops that enclose even-odd what the given ones enclose by non-zero winding.

    Loops that do not overlap are returned as they are.

    Examples
    --------
    >>> bar, across = ((0, 0), (0, 3), (1, 3), (1, 0)), ((0, 1), (0, 2), (3, 2), (3, 1))
    >>> len(filled_by_winding([bar, across]))
    1
    """
    from shapely import LinearRing, polygonize, union_all

    areas = [loop for loop in loops if len(loop) > 2]
    if not 0 < sum(map(len, areas)) <= _MOST_POINTS or not _overlap(areas):
        return tuple(loops)
    faces = polygonize([union_all([LinearRing(loop) for loop in areas])]).geoms
    inside = [face for face in faces if _winding(face.representative_point(), areas)]
    return tuple(tuple((x, y) for x, y, _ in loop) for loop in loops_of(union_all(inside)))


def _overlap(loops: Sequence[Loop]) -> bool:
    """Return whether loops cross themselves or others, or lie within others that run the same way round."""
    from shapely import LinearRing, Polygon, STRtree

    rings = [LinearRing(loop) for loop in loops]
    if len(rings) == 1 and rings[0].is_simple:
        return False
    if not all(ring.is_simple for ring in rings):
        return True
    ways = np.array([ring.is_ccw for ring in rings])
    areas = [Polygon(ring) for ring in rings]
    one, other = STRtree(areas).query(areas, predicate="intersects")
    crossing, meeting = STRtree(rings).query(rings, predicate="intersects")
    return bool(np.any((one != other) & (ways[one] == ways[other])) or np.any(crossing != meeting))


def _winding(place: Any, loops: Sequence[Loop]) -> int:
    """Return how often loops run round a place, counter-clockwise less clockwise."""
    turns = 0
    for loop in loops:
        start = np.array(loop, dtype=float)
        end = np.roll(start, -1, axis=0)
        to_left = (end[:, 0] - start[:, 0]) * (place.y - start[:, 1]) - (place.x - start[:, 0]) * (
            end[:, 1] - start[:, 1]
        )
        up = (start[:, 1] <= place.y) & (end[:, 1] > place.y) & (to_left > 0.0)
        down = (start[:, 1] > place.y) & (end[:, 1] <= place.y) & (to_left < 0.0)
        turns += int(np.count_nonzero(up)) - int(np.count_nonzero(down))
    return turns
