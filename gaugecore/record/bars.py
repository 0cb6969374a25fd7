"""A drawing with the two bars beside it that prove the print, on every page that is to be measured."""

from __future__ import annotations

from gaugecore.drawing.bars import BAR_MM, bar
from gaugecore.drawing.elements import Box, Drawing, Operation

#: From the drawing's box to a bar, and room for the bar's marks and caption.
_GAP_MM, _ROOM_MM = 3.0, 9.0


def with_bars(drawing: Drawing) -> Drawing:
    """Return a drawing with an upright bar at its left and a level one below, its box grown to hold them."""
    box = drawing.box
    middle_x_mm = (box.left_mm + box.right_mm) / 2
    middle_y_mm = (box.bottom_mm + box.top_mm) / 2
    half_mm = BAR_MM / 2
    x_mm = min(box.left_mm, middle_x_mm - half_mm) - _GAP_MM
    y_mm = min(box.bottom_mm, middle_y_mm - half_mm) - _GAP_MM
    level = bar((middle_x_mm - half_mm, y_mm - _ROOM_MM), upright=False, operation=Operation.GUIDE)
    upright = bar((x_mm, middle_y_mm - half_mm), upright=True, operation=Operation.GUIDE)
    grown = Box(
        left_mm=x_mm - _ROOM_MM,
        bottom_mm=y_mm - _ROOM_MM - _GAP_MM,
        right_mm=max(box.right_mm, middle_x_mm + half_mm) + _ROOM_MM,
        top_mm=max(box.top_mm, middle_y_mm + half_mm) + _GAP_MM,
    )
    elements = (*drawing.elements, *level, *upright)
    return Drawing(name=drawing.name, title=drawing.title, box=grown, elements=elements)
