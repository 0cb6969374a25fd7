"""The two bars that prove a printer: 100 mm each way, on every page that is to be measured."""

from __future__ import annotations

from gaugecore.drawing.elements import AnyElement, Box, Drawing, Line, Operation
from gaugecore.drawing.lettering import letter
from gaugecore.polar import Point

#: Long enough that half a millimetre of ruler is half a percent.
BAR_MM = 100.0
_TICK_MM = 2.5
_ROOM_MM = 9.0


def with_bars(drawing: Drawing) -> Drawing:
    """Return a drawing with a 100 mm bar to its left and one below, its box grown to hold them."""
    box = drawing.box
    middle_x, middle_y = (box.left_mm + box.right_mm) / 2, (box.bottom_mm + box.top_mm) / 2
    below, left = box.bottom_mm - 2.0, box.left_mm - 2.0
    half = BAR_MM / 2
    grown = Box(
        left_mm=min(left - _ROOM_MM, middle_x - half),
        bottom_mm=min(below - _ROOM_MM, middle_y - half),
        right_mm=max(box.right_mm, middle_x + half),
        top_mm=max(box.top_mm, middle_y + half),
    )
    across = _bar("bars.x", (middle_x - half, below), (middle_x + half, below), 0.0)
    upright = _bar("bars.y", (left, middle_y - half), (left, middle_y + half), -90.0)
    return Drawing(
        name=drawing.name, title=drawing.title, box=grown, elements=(*drawing.elements, *across, *upright)
    )


def _bar(part: str, start_mm: Point, end_mm: Point, turn_deg: float) -> list[AnyElement]:
    """Return a bar between two points with ticks across its ends, lettered on its outer side."""
    upright = start_mm[0] == end_mm[0]
    tick = (_TICK_MM / 2, 0.0) if upright else (0.0, _TICK_MM / 2)
    lines = [(start_mm, end_mm)]
    lines += [((x - tick[0], y - tick[1]), (x + tick[0], y + tick[1])) for x, y in (start_mm, end_mm)]
    out: list[AnyElement] = [
        Line(operation=Operation.GUIDE, part=part, width_mm=0.2, start_mm=a, end_mm=b) for a, b in lines
    ]
    middle = ((start_mm[0] + end_mm[0]) / 2, (start_mm[1] + end_mm[1]) / 2)
    at = (middle[0] - 3.5, middle[1]) if upright else (middle[0], middle[1] - 3.5)
    out.append(
        letter(
            "100 mm, measure me" if not upright else "100 mm",
            operation=Operation.GUIDE,
            part=f"{part}.text",
            height_mm=2.2,
            at_mm=at,
            turn_deg=turn_deg,
        )
    )
    return out
