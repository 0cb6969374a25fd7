"""Drawings as SVG 1.1: true size in millimetres, one group an operation, nothing fetched from elsewhere.

Neighbouring lines that look alike and belong to one part, such as the minor graduations of a ring, are one
path: that is how they are picked in an editor, and a file of a few paths is written and opened quickly.
"""

from __future__ import annotations

import re
from itertools import groupby, islice
from typing import TYPE_CHECKING, Any, Final, cast

import numpy as np

from gaugecore.drawing.elements import Arc, Circle, Drawing, Line, Outline, Strokes, Vertex
from gaugecore.drawing.layers import DECIMALS, HAIRLINE_MM
from gaugecore.drawing.polylines import Array
from gaugecore.drawing.ring import bow_of
from gaugecore.drawing.runs import Run, runs_of
from gaugecore.polar import dial_to_xy_mm

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from gaugecore.drawing.elements import AnyElement
    from gaugecore.polar import Point

#: What tells the pieces of a part from each other: the value of a graduation, the place of a line in a list.
_LAST_NUMBERS: Final = re.compile(r"(\.-?\d[-+\de]*)+$")
#: What an identifier does not show.
_NO_NAME: Final = re.compile(r"[^\w.-]")
_DOWN: Final = np.array((1.0, -1.0))


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
    for operation, runs in groupby(runs_of(drawing), key=lambda run: run.first.operation):
        group = sheet.add(sheet.g(id=f"operation-{operation.value}", fill="none", stroke_linejoin="round"))
        for run in runs:
            for drawn in _drawn_together(sheet, run, flip, seen):
                group.add(drawn)
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

    def lines(self, run: Run) -> list[str]:
        """Return the path data of every line and stroke, in order."""
        places = run.line_texts(between_numbers=",", between_points=" ", placed=self._placed)
        return [f"M{place}" for place in places]

    def _placed(self, points_mm: Array) -> Array:
        placed: Array = (points_mm - self._left_top_mm) * _DOWN
        return placed

    def pair(self, point_mm: Point) -> tuple[float, float]:
        return round(point_mm[0] - self._left_mm, DECIMALS), round(self._top_mm - point_mm[1], DECIMALS)


def _drawn_together(sheet: Any, run: Run, flip: _Flip, seen: set[str]) -> Iterator[Any]:
    match run.first:
        case Line():
            yield from _lines(sheet, run, flip, seen)
        case Strokes():
            yield from _lettering(sheet, run, flip, seen)
        case _:
            for element in run.elements:
                yield _shape(sheet, element, flip, {**_look(element), **_identity(element.part, seen)})


def _lines(sheet: Any, run: Run, flip: _Flip, seen: set[str]) -> Iterator[Any]:
    """Yield a path for each family of lines."""
    paths = iter(flip.lines(run))
    for family, kin in _families(run.elements):
        identity = _identity(family if len(kin) > 1 else kin[0].part, seen)
        yield sheet.path(d=" ".join(islice(paths, len(kin))), **_look(kin[0]), **identity)


def _families(lines: Sequence[AnyElement]) -> Iterator[tuple[str, Sequence[AnyElement]]]:
    """Yield neighbours whose parts differ only in the numbers at their ends, and what they share."""
    # what the first and the last in the alphabet begin with, all begin with: mostly there is one family
    ends = {_family(edge(line.part for line in lines)) for edge in (min, max)}
    if len(ends) == 1:
        yield ends.pop(), lines
        return
    for family, kin in groupby(lines, key=lambda line: _family(line.part)):
        yield family, list(kin)


def _family(part: str) -> str:
    """Return a part without the numbers at its end.

    Examples
    --------
    >>> _family("graduations.minor.2.5"), _family("centre")
    ('graduations.minor', 'centre')
    """
    return _LAST_NUMBERS.sub("", part)


def _lettering(sheet: Any, run: Run, flip: _Flip, seen: set[str]) -> Iterator[Any]:
    """Yield a group of texts that look alike, a path each, which says what it spells."""
    paths = iter(flip.lines(run))
    group = sheet.g(stroke_linecap="round", **_look(run.first))
    for text in cast("Sequence[Strokes]", run.elements):
        drawn = sheet.path(d=" ".join(islice(paths, len(text.polylines))), **_identity(text.part, seen))
        drawn.set_desc(title=_plain(text.text))
        group.add(drawn)
    yield group


def _shape(sheet: Any, element: AnyElement, flip: _Flip, look: dict[str, Any]) -> Any:
    match element:
        case Circle():
            return sheet.circle(flip.pair(element.centre_mm), round(element.radius_mm, DECIMALS), **look)
        case Arc():
            return sheet.path(d=_arc_path(element, flip), **look)
        case Outline():
            path = " ".join(_loop_path(loop, flip) for loop in element.loops)
            return sheet.path(d=path, fill_rule="evenodd", **look)


def _look(element: AnyElement) -> dict[str, Any]:
    filled = isinstance(element, (Circle, Outline)) and element.filled
    look: dict[str, Any] = {"fill": element.colour} if filled else {}
    if not filled or element.width_mm:
        look["stroke"] = element.colour
        look["stroke_width"] = _number(element.width_mm or HAIRLINE_MM)
    return look


def _identity(part: str, seen: set[str]) -> dict[str, str]:
    """Return the identifier of the first thing that shows a part; a file must not have one twice."""
    identifier = "part-" + _NO_NAME.sub("_", part)
    if identifier in seen:
        return {}
    seen.add(identifier)
    return {"id": identifier}


def _arc_path(arc: Arc, flip: _Flip) -> str:
    start = dial_to_xy_mm(arc.start_deg, arc.radius_mm, arc.centre_mm)
    end = dial_to_xy_mm(arc.end_deg, arc.radius_mm, arc.centre_mm)
    radius = _number(arc.radius_mm)
    large = int(arc.end_deg - arc.start_deg > 180.0)
    return f"M{flip.point(start)} A {radius} {radius} 0 {large} 1 {flip.point(end)}"


def _loop_path(loop: tuple[Vertex, ...], flip: _Flip) -> str:
    words = [f"M{flip.point(loop[0][:2])}"]
    for (x, y, bulge), (next_x, next_y, _) in zip(loop, (*loop[1:], loop[0]), strict=True):
        end = flip.point((next_x, next_y))
        if bulge:
            radius = _number(bow_of((x, y), (next_x, next_y), bulge).radius_mm)
            words.append(f"A {radius} {radius} 0 {int(abs(bulge) > 1.0)} {int(bulge < 0.0)} {end}")
        else:
            words.append(f"L{end}")
    return " ".join([*words, "Z"])


def _number(value: float) -> str:
    text = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _plain(text: str) -> str:
    """Return text without the characters that XML 1.0 cannot hold, on one line."""
    return " ".join("".join(c if c.isprintable() or c == " " else " " for c in text).split())
