"""Pieces of rings, as outlines with true arcs."""

from __future__ import annotations

import math
from typing import NamedTuple

from gaugecore.drawing.elements import Vertex
from gaugecore.polar import Point, bulge_of, dial_to_xy_mm, span_of_bulge, xy_mm_to_dial

_TURN_DEG = 360.0


class Bow(NamedTuple):
    """An arc as centre, radius, the dial angle it starts at, and the one it turns by, clockwise positive."""

    centre_mm: Point
    radius_mm: float
    start_deg: float
    span_deg: float


def bow_of(start_mm: Point, end_mm: Point, bulge: float) -> Bow:
    """Return the arc between two points that a bulge, not zero, describes.

    Examples
    --------
    >>> bow_of((0.0, 2.0), (0.0, -2.0), -1.0)   # a half circle, clockwise from twelve o'clock
    Bow(centre_mm=(0.0, 0.0), radius_mm=2.0, start_deg=0.0, span_deg=180.0)
    """
    (x, y), (next_x, next_y) = start_mm, end_mm
    radius_mm = math.dist(start_mm, end_mm) * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    # the centre lies off the chord's middle by this part of the chord, to the left when positive
    off = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre_mm = (x + next_x) / 2.0 - off * (next_y - y), (y + next_y) / 2.0 + off * (next_x - x)
    start_deg, _ = xy_mm_to_dial(x - centre_mm[0], y - centre_mm[1])
    return Bow(centre_mm, radius_mm, start_deg, span_of_bulge(bulge))


def circle_loop(radius_mm: float, centre_mm: Point = (0.0, 0.0)) -> tuple[Vertex, ...]:
    """Return a whole circle as a loop of two half circles.

    Examples
    --------
    >>> [tuple(round(n, 6) + 0.0 for n in vertex) for vertex in circle_loop(2.0)]
    [(0.0, 2.0, -1.0), (0.0, -2.0, -1.0)]
    """
    bulge = bulge_of(_TURN_DEG / 2.0)
    return tuple((*dial_to_xy_mm(deg, radius_mm, centre_mm), bulge) for deg in (0.0, 180.0))


def ring_loops(
    inner_radius_mm: float, outer_radius_mm: float, start_deg: float, end_deg: float
) -> tuple[tuple[Vertex, ...], ...]:
    """Return the loops around a piece of a ring, clockwise from ``start_deg`` to ``end_deg``.

    A span of a whole turn gives two circles, to be filled even-odd. A long arc is cut in two, because a
    bulge grows without bound toward a full turn.
    """
    span_deg = end_deg - start_deg
    if span_deg >= _TURN_DEG:
        return circle_loop(outer_radius_mm), circle_loop(inner_radius_mm)
    pieces = 1 if span_deg <= _TURN_DEG / 2.0 else 2
    bulge = bulge_of(span_deg / pieces)
    stops = [start_deg + span_deg * piece / pieces for piece in range(pieces + 1)]
    outer = [(*dial_to_xy_mm(deg, outer_radius_mm), bulge) for deg in stops[:-1]]
    outer.append((*dial_to_xy_mm(end_deg, outer_radius_mm), 0.0))
    inner = [(*dial_to_xy_mm(deg, inner_radius_mm), -bulge) for deg in reversed(stops[1:])]
    inner.append((*dial_to_xy_mm(start_deg, inner_radius_mm), 0.0))
    return ((*outer, *inner),)
