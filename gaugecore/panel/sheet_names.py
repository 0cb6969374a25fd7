"""Names of pieces that are too narrow to carry one: a pointer's stands beside it on the sheet, as a guide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

import numpy as np

from gaugecore.drawing.elements import AnyElement, Operation
from gaugecore.drawing.guides import GUIDE_COLOUR
from gaugecore.drawing.kerf import cut_loops_of
from gaugecore.drawing.lettering import letter, width_mm
from gaugecore.drawing.shapes import polygon_of
from gaugecore.drawing.stock import Stock

#: Tried one after the other: the usual height of a name, and one for where there is little room.
_HEIGHTS_MM: Final = (2.0, 1.5)
#: From a piece to its name; farther off it might belong to anything.
_NEAREST_MM, _FARTHEST_MM = 0.6, 4.0
_GRID_MM: Final = 0.5


def names_beside(lying: Sequence[tuple[str, Sequence[AnyElement]]], stock: Stock) -> Iterator[AnyElement]:
    """Yield names for pieces without one, on material that no piece takes.

    Parameters
    ----------
    lying : sequence of (str, sequence of Element)
        Name and elements of all pieces on a sheet, where they lie.
    stock : Stock
        The sheet.
    """
    areas = [polygon_of(*(loop for _, _, loop in cut_loops_of(elements))) for _, elements in lying]
    for number, (name, elements) in enumerate(lying):
        if any(element.part.endswith("label") for element in elements):
            continue
        others = [*areas[:number], *areas[number + 1 :]]
        found = _place(name, areas[number], others, stock)
        if found is None:
            continue
        height_mm, turn_deg, box = found
        areas.append(box)
        yield letter(
            name,
            operation=Operation.GUIDE,
            colour=GUIDE_COLOUR,
            part=f"{name}.label",
            height_mm=height_mm,
            at_mm=(box.centroid.x, box.centroid.y),
            turn_deg=turn_deg,
        )


def _place(name: str, own: Any, others: Sequence[Any], stock: Stock) -> tuple[float, float, Any] | None:
    """Return the height, the turn and the room of a name nearest to its piece; None where there is none."""
    from shapely import box, distance, intersects, prepare, union_all

    taken = union_all(list(others))
    prepare(taken)
    left, bottom, right, top = own.bounds
    for height_mm in _HEIGHTS_MM:
        long_mm, high_mm = width_mm(name, height_mm=height_mm) + height_mm, 1.8 * height_mm
        best: tuple[float, float, Any] | None = None
        for turn_deg, half_x, half_y in ((0.0, long_mm / 2, high_mm / 2), (-90.0, high_mm / 2, long_mm / 2)):
            reach_x, reach_y = half_x + _FARTHEST_MM, half_y + _FARTHEST_MM
            xs, ys = np.meshgrid(
                np.arange(
                    max(left - reach_x, half_x), min(right + reach_x, stock.width_mm - half_x), _GRID_MM
                ),
                np.arange(
                    max(bottom - reach_y, half_y), min(top + reach_y, stock.height_mm - half_y), _GRID_MM
                ),
            )
            rooms = box(xs - half_x, ys - half_y, xs + half_x, ys + half_y).ravel()
            rooms = rooms[~intersects(rooms, taken)]
            away_mm = distance(rooms, own)
            # nearer to its own piece than to any other, or it names the wrong one
            fits = (away_mm >= _NEAREST_MM) & (away_mm <= _FARTHEST_MM) & (away_mm <= distance(rooms, taken))
            if others == [] or taken.is_empty:
                fits = (away_mm >= _NEAREST_MM) & (away_mm <= _FARTHEST_MM)
            if fits.any():
                at = int(np.flatnonzero(fits)[np.argmin(away_mm[fits])])
                if best is None or away_mm[at] < best[0]:
                    best = float(away_mm[at]), turn_deg, rooms[at]
        if best is not None:
            return height_mm, best[1], best[2]
    return None
