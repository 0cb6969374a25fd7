"""Where the ink is: elements as widened chords, and how far apart two of them stand.

Arcs become chords that leave them by less than `SAGITTA_MM`, which is below anything a printer or a laser can
show, and far above floating point dust.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from gaugecore.drawing.elements import AnyElement, Arc, Box, Circle, Line, Outline, Strokes, Vertex
from gaugecore.drawing.ring import bow_of, circle_loop
from gaugecore.polar import Point, chord_span_deg, dial_to_xy_mm

SAGITTA_MM: Final = 0.002

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Ink:
    """What one element covers.

    Attributes
    ----------
    part : str
        The element's own.
    chords : ndarray, shape (n, 4)
        x and y of both ends, in mm.
    half_width_mm : float
        Half of the line width.
    loops : tuple of ndarray, each of shape (m, 2)
        Closed outlines whose inside is covered too (even-odd); empty for lines.
    """

    part: str
    chords: Array
    half_width_mm: float
    loops: tuple[Array, ...] = ()

    @property
    def box(self) -> Box:
        """Return the rectangle around the ink."""
        xs, ys = self.chords[:, 0::2], self.chords[:, 1::2]
        half = self.half_width_mm
        return Box(
            left_mm=float(xs.min()) - half,
            bottom_mm=float(ys.min()) - half,
            right_mm=float(xs.max()) + half,
            top_mm=float(ys.max()) + half,
        )

    @property
    def farthest_mm(self) -> float:
        """Return the distance from the pivot of the outermost ink."""
        return float(np.hypot(self.chords[:, 0::2], self.chords[:, 1::2]).max()) + self.half_width_mm

    @property
    def middle_mm(self) -> Point:
        """Return the middle of the box."""
        box = self.box
        return (box.left_mm + box.right_mm) / 2.0, (box.bottom_mm + box.top_mm) / 2.0


def ink_of(element: AnyElement, *, solid: bool = False) -> Ink | None:
    """Return what an element covers, None when it draws nothing.

    Parameters
    ----------
    element : Element
        Any.
    solid : bool
        Count the inside of an unfilled circle or outline as covered, as for a hole that is cut.
    """
    loops: list[list[Point]] = []
    match element:
        case Line():
            lines = [[element.start_mm, element.end_mm]]
        case Arc():
            lines = [_arc_points(element)]
        case Circle():
            loops = [_loop_points(circle_loop(element.radius_mm, element.centre_mm))]
            lines = loops
        case Outline():
            loops = [_loop_points(loop) for loop in element.loops]
            lines = loops
        case Strokes():
            lines = [list(line) for line in element.polylines]
    chords = chords_of(lines)
    if not len(chords):
        return None
    covers = solid or (isinstance(element, (Circle, Outline)) and element.filled)
    return Ink(
        part=element.part,
        chords=chords,
        half_width_mm=element.width_mm / 2.0,
        loops=tuple(np.array(loop, dtype=float) for loop in loops) if covers else (),
    )


def chords_of(lines: Iterable[Iterable[Point]]) -> Array:
    """Return the chords of polylines: x and y of both ends of each, shape (n, 4)."""
    return np.array([(*a, *b) for line in lines for a, b in pairwise(line)], dtype=float).reshape(-1, 4)


def apart_mm(one: Ink, other: Ink, *, limit_mm: float = math.inf) -> float:
    """Return the clear distance between two inks, negative or zero where they meet.

    Parameters
    ----------
    one, other : Ink
        Any.
    limit_mm : float
        A distance beyond which it does not matter: what is farther apart gives at least this.

    Returns
    -------
    float
        A negative figure is the depth to which their lines overlap, at most both half widths together.
    """
    if _inside(one.chords[0, :2], other.loops) or _inside(other.chords[0, :2], one.loops):
        return -(one.half_width_mm + other.half_width_mm)
    widths_mm = one.half_width_mm + other.half_width_mm
    near = _near(one.chords, other.box, limit_mm + one.half_width_mm)
    near_other = _near(other.chords, one.box, limit_mm + other.half_width_mm)
    if not len(near) or not len(near_other):
        return limit_mm
    return nearest_mm(near, near_other) - widths_mm


def _near(chords: Array, box: Box, limit_mm: float) -> Array:
    """Return the chords that are not plainly farther from a box than a limit."""
    xs, ys = chords[:, 0::2], chords[:, 1::2]
    kept = (xs.min(axis=1) <= box.right_mm + limit_mm) & (xs.max(axis=1) >= box.left_mm - limit_mm)
    kept &= (ys.min(axis=1) <= box.top_mm + limit_mm) & (ys.max(axis=1) >= box.bottom_mm - limit_mm)
    return np.asarray(chords[kept])


def nearest_mm(one: Array, other: Array) -> float:
    """Return the least distance between any chord of one set and any of another; 0 where two cross."""
    a, b = one[:, None, :2], one[:, None, 2:]
    c, d = other[None, :, :2], other[None, :, 2:]
    if np.any(_opposite(a, b, c, d) & _opposite(c, d, a, b)):
        return 0.0
    return float(
        min(
            _point_to(a, c, d).min(),
            _point_to(b, c, d).min(),
            _point_to(c, a, b).min(),
            _point_to(d, a, b).min(),
        )
    )


def _opposite(a: Array, b: Array, c: Array, d: Array) -> NDArray[np.bool_]:
    """Return whether c and d lie on different sides of the line through a and b."""

    def side(point: Array) -> Array:
        return (b[..., 0] - a[..., 0]) * (point[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (
            point[..., 0] - a[..., 0]
        )

    return np.asarray(side(c) * side(d) < 0.0)


def _point_to(point: Array, start: Array, end: Array) -> Array:
    along = end - start
    length_squared = np.maximum((along**2).sum(axis=-1), 1e-30)
    t = np.clip(((point - start) * along).sum(axis=-1) / length_squared, 0.0, 1.0)
    return np.asarray(np.sqrt(((point - start - t[..., None] * along) ** 2).sum(axis=-1)))


def _inside(point: Array, loops: tuple[Array, ...]) -> bool:
    crossings = 0
    for loop in loops:
        start, end = loop[:-1], loop[1:]
        spans = (start[:, 1] > point[1]) != (end[:, 1] > point[1])
        rise = np.where(end[:, 1] == start[:, 1], 1.0, end[:, 1] - start[:, 1])
        x = start[:, 0] + (point[1] - start[:, 1]) / rise * (end[:, 0] - start[:, 0])
        crossings += int(np.count_nonzero(spans & (x > point[0])))
    return crossings % 2 == 1


def _arc_points(arc: Arc) -> list[Point]:
    count = _chord_count(arc.radius_mm, arc.end_deg - arc.start_deg)
    return [
        dial_to_xy_mm(arc.start_deg + (arc.end_deg - arc.start_deg) * n / count, arc.radius_mm, arc.centre_mm)
        for n in range(count + 1)
    ]


def _loop_points(loop: tuple[Vertex, ...]) -> list[Point]:
    points: list[Point] = [loop[0][:2]]
    for (x, y, bulge), (next_x, next_y, _) in pairwise((*loop, loop[0])):
        if bulge:
            points.extend(_bulged((x, y), (next_x, next_y), bulge))
        points.append((next_x, next_y))
    return points


def _bulged(start: Point, end: Point, bulge: float) -> list[Point]:
    """Return the points between the ends of an arc given by its bulge."""
    bow = bow_of(start, end, bulge)
    count = _chord_count(bow.radius_mm, bow.span_deg)
    return [
        dial_to_xy_mm(bow.start_deg + bow.span_deg * n / count, bow.radius_mm, bow.centre_mm)
        for n in range(1, count)
    ]


def _chord_count(radius_mm: float, span_deg: float) -> int:
    return max(1, math.ceil(abs(span_deg) / chord_span_deg(radius_mm, SAGITTA_MM)))
