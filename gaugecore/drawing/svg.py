"""Drawings as SVG 1.1: true size in millimetres, one group an operation, nothing fetched from elsewhere."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from gaugecore.drawing.elements import Arc, Circle, Drawing, Line, Outline, Strokes, Vertex
from gaugecore.drawing.layers import DECIMALS, HAIRLINE_MM, LAYERS
from gaugecore.drawing.ring import bow_of
from gaugecore.polar import dial_to_xy_mm

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gaugecore.drawing.elements import AnyElement
    from gaugecore.polar import Point


def to_svg(drawing: Drawing) -> bytes:
    """Return a drawing as an SVG file.

    Parameters
    ----------
    drawing : Drawing
        What to write; its box becomes the page.

    Returns
    -------
    bytes
        UTF-8; one user unit is 1 mm; the same drawing always gives the same bytes.
    """
    import svgwrite

    box = drawing.box
    width, height = _number(box.width_mm), _number(box.height_mm)
    sheet = svgwrite.Drawing(size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False)
    sheet.set_desc(title=_plain(drawing.title), desc="True size: one user unit is one millimetre.")
    flip = _Flip(box.left_mm, box.top_mm)
    seen: set[str] = set()
    for operation in LAYERS:
        elements = [element for element in drawing.elements if element.operation is operation]
        if elements:
            group = sheet.add(
                sheet.g(id=f"operation-{operation.value}", fill="none", stroke_linejoin="round")
            )
            for element in elements:
                group.add(_drawn(sheet, element, flip, seen))
    text: str = sheet.tostring()
    return ('<?xml version="1.0" encoding="UTF-8"?>\n' + text + "\n").encode()


class _Flip:
    """Sheet coordinates to SVG's: from the top left corner, y down."""

    def __init__(self, left_mm: float, top_mm: float) -> None:
        self._left_mm = left_mm
        self._top_mm = top_mm
        self._left_top_mm = np.array([left_mm, top_mm])

    def point(self, point_mm: Point) -> str:
        return f"{_number(point_mm[0] - self._left_mm)} {_number(self._top_mm - point_mm[1])}"

    def line(self, points_mm: Sequence[Point]) -> str:
        """Return a polyline as path data, formatted in one go: a number at a time takes twice as long."""
        places = np.array(points_mm, dtype=float)
        places -= self._left_top_mm
        places[:, 1] *= -1.0
        # + 0.0 makes nothing of minus nothing; nine digits are more than a rounded place can have
        numbers = (places.round(DECIMALS) + 0.0).ravel().tolist()
        return ("M%.9g %.9g" + " L%.9g %.9g" * (len(points_mm) - 1)) % tuple(numbers)

    def pair(self, point_mm: Point) -> tuple[float, float]:
        return round(point_mm[0] - self._left_mm, DECIMALS), round(self._top_mm - point_mm[1], DECIMALS)


def _drawn(sheet: Any, element: AnyElement, flip: _Flip, seen: set[str]) -> Any:
    look = _look(element)
    identifier = _identifier(element.part)
    if identifier not in seen:
        seen.add(identifier)
        look["id"] = identifier
    match element:
        case Line():
            return sheet.line(flip.pair(element.start_mm), flip.pair(element.end_mm), **look)
        case Circle():
            return sheet.circle(flip.pair(element.centre_mm), round(element.radius_mm, DECIMALS), **look)
        case Arc():
            return sheet.path(d=_arc_path(element, flip), **look)
        case Outline():
            path = " ".join(_loop_path(loop, flip) for loop in element.loops)
            return sheet.path(d=path, fill_rule="evenodd", **look)
        case Strokes():
            path = " ".join(map(flip.line, element.polylines))
            drawn = sheet.path(d=path, stroke_linecap="round", **look)
            drawn.set_desc(title=_plain(element.text))
            return drawn


def _look(element: AnyElement) -> dict[str, Any]:
    filled = isinstance(element, (Circle, Outline)) and element.filled
    look: dict[str, Any] = {"fill": element.colour} if filled else {}
    if not filled or element.width_mm:
        look["stroke"] = element.colour
        look["stroke_width"] = _number(element.width_mm or HAIRLINE_MM)
    return look


def _arc_path(arc: Arc, flip: _Flip) -> str:
    start = dial_to_xy_mm(arc.start_deg, arc.radius_mm, arc.centre_mm)
    end = dial_to_xy_mm(arc.end_deg, arc.radius_mm, arc.centre_mm)
    radius = _number(arc.radius_mm)
    large = int(arc.end_deg - arc.start_deg > 180.0)
    return f"M{flip.point(start)} A{radius} {radius} 0 {large} 1 {flip.point(end)}"


def _loop_path(loop: tuple[Vertex, ...], flip: _Flip) -> str:
    words = [f"M{flip.point(loop[0][:2])}"]
    for (x, y, bulge), (next_x, next_y, _) in zip(loop, (*loop[1:], loop[0]), strict=True):
        end = flip.point((next_x, next_y))
        if bulge:
            radius = _number(bow_of((x, y), (next_x, next_y), bulge).radius_mm)
            words.append(f"A{radius} {radius} 0 {int(abs(bulge) > 1.0)} {int(bulge < 0.0)} {end}")
        else:
            words.append(f"L{end}")
    return " ".join([*words, "Z"])


def _number(value: float) -> str:
    text = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _identifier(part: str) -> str:
    kept = "".join(character if character.isalnum() or character in "._-" else "_" for character in part)
    return f"part-{kept}"


def _plain(text: str) -> str:
    """Return text without the characters that XML 1.0 cannot hold, on one line."""
    return " ".join("".join(c if c.isprintable() or c == " " else " " for c in text).split())
