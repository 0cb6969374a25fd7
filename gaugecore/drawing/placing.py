"""Elements moved and turned: a plate put somewhere on a sheet or a page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from gaugecore.drawing.elements import AnyElement, Arc, Circle, Line, Outline, Strokes
from gaugecore.drawing.polylines import Polylines
from gaugecore.polar import Point, turned


def placed(
    elements: Iterable[AnyElement], *, at_mm: Point, turn_deg: float = 0.0, prefix: str = ""
) -> tuple[AnyElement, ...]:
    """Return elements turned clockwise about their origin, which then comes to lie on a point.

    Parameters
    ----------
    elements : iterable of Element
        In coordinates of their own.
    at_mm : Point
        Where their origin goes.
    turn_deg : float
        How far they are turned, clockwise.
    prefix : str
        Put before the part names, with a dot, so that two plates of a kind stay apart.
    """
    return tuple(_placed(element, at_mm, turn_deg, prefix) for element in elements)


def _placed(element: AnyElement, at_mm: Point, turn_deg: float, prefix: str) -> AnyElement:
    part = f"{prefix}.{element.part}" if prefix else element.part

    def to(point: Point) -> Point:
        x_mm, y_mm = turned(point, turn_deg) if turn_deg else point
        return x_mm + at_mm[0], y_mm + at_mm[1]

    match element:
        case Line():
            return replace(element, part=part, start_mm=to(element.start_mm), end_mm=to(element.end_mm))
        case Arc():
            return replace(
                element,
                part=part,
                centre_mm=to(element.centre_mm),
                start_deg=element.start_deg + turn_deg,
                end_deg=element.end_deg + turn_deg,
            )
        case Circle():
            return replace(element, part=part, centre_mm=to(element.centre_mm))
        case Outline():
            loops = tuple(
                tuple((*to((x_mm, y_mm)), bulge) for x_mm, y_mm, bulge in loop) for loop in element.loops
            )
            return replace(element, part=part, loops=loops)
        case Strokes():
            drawn = element.polylines
            x_mm, y_mm = turned((drawn.points_mm[:, 0], drawn.points_mm[:, 1]), turn_deg)
            points_mm = np.column_stack((x_mm + at_mm[0], y_mm + at_mm[1]))
            return replace(element, part=part, polylines=Polylines(points_mm, drawn.lengths))
