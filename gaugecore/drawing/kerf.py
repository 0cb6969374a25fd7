"""Cut lines moved out of the kerf, so that what is left has its drawn size.

A laser takes away a strip as wide as the kerf, centred on the line it follows. The outside of a plate is
therefore cut half a kerf outside its outline, and a hole half a kerf inside. What is a hole follows from what
lies in what.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any, Final

from gaugecore.drawing.elements import AnyElement, Circle, Drawing, Operation, Outline, Vertex
from gaugecore.drawing.offset import offset_loop
from gaugecore.drawing.ring import circle_loop
from gaugecore.drawing.shapes import polygon_of
from gaugecore.errors import DesignError

#: Far below what any machine can cut; below this a loop has no inside to speak of.
_LEAST_MM2: Final = 1e-6


def allow_for_kerf(drawing: Drawing, kerf_mm: float) -> Drawing:
    """Return a drawing with its closed cut lines moved by half a kerf, out of the part that stays.

    Parameters
    ----------
    drawing : Drawing
        Its circles and outlines on `Operation.CUT` are moved. Open lines have no inside and stay.
    kerf_mm : float
        Measured width of the cut; 0 changes nothing.

    Raises
    ------
    DesignError
        If the kerf is as wide as a hole or closes an opening, or cut lines cross.
    """
    loops = cut_loops(drawing)
    if not kerf_mm or not loops:
        return drawing
    inside = holes_among(loops)
    made: list[AnyElement] = []
    for number, element in enumerate(drawing.elements):
        mine = [index for index, (owner, _, _) in enumerate(loops) if owner == number]
        if not mine:
            made.append(element)
        elif isinstance(element, Circle):
            made.append(_circle(element, kerf_mm, hole=inside[mine[0]]))
        elif isinstance(element, Outline):
            moved = tuple(
                offset_loop(loops[index][2], _way(kerf_mm, hole=inside[index]), part=element.part)
                for index in mine
            )
            made.append(replace(element, loops=moved))
    return replace(drawing, elements=tuple(made))


def cut_loops(drawing: Drawing) -> list[tuple[int, str, tuple[Vertex, ...]]]:
    """Return the closed cut lines of a drawing: number of the element, its part, the loop."""
    return cut_loops_of(drawing.elements)


def cut_loops_of(elements: Iterable[AnyElement]) -> list[tuple[int, str, tuple[Vertex, ...]]]:
    """Return the closed cut lines among elements: number of the element, its part, the loop."""
    found: list[tuple[int, str, tuple[Vertex, ...]]] = []
    for number, element in enumerate(elements):
        if element.operation is Operation.CUT and isinstance(element, Circle):
            found.append((number, element.part, circle_loop(element.radius_mm, element.centre_mm)))
        elif element.operation is Operation.CUT and isinstance(element, Outline):
            found += [(number, element.part, loop) for loop in element.loops]
    return found


def holes_among(loops: list[tuple[int, str, tuple[Vertex, ...]]]) -> list[bool]:
    """Return which loops bound a hole: those that lie in an odd number of others.

    Raises
    ------
    DesignError
        If two of them cross, or one has nothing inside.
    """
    areas: list[Any] = [polygon_of(loop) for _, _, loop in loops]
    for (_, part, _), area in zip(loops, areas, strict=True):
        if area.area < _LEAST_MM2:
            raise DesignError("the cut line encloses nothing", where=part, accepted="an opening of a size")
    depths = [0] * len(loops)
    for one in range(len(loops)):
        for other in range(one + 1, len(loops)):
            if not areas[one].intersects(areas[other]):
                continue
            if areas[one].contains(areas[other]):
                depths[other] += 1
            elif areas[other].contains(areas[one]):
                depths[one] += 1
            else:
                raise DesignError(
                    "two cut lines cross, so neither has an inside",
                    where=loops[one][1],
                    found=f"crossed by {loops[other][1]}",
                    accepted="cut lines that lie clear of one another",
                )
    return [depth % 2 == 1 for depth in depths]


def _way(kerf_mm: float, *, hole: bool) -> float:
    return -kerf_mm / 2.0 if hole else kerf_mm / 2.0


def _circle(circle: Circle, kerf_mm: float, *, hole: bool) -> Circle:
    radius_mm = circle.radius_mm + _way(kerf_mm, hole=hole)
    if radius_mm <= 0.0:
        raise DesignError(
            f"the kerf of {kerf_mm:g} mm is as wide as the hole",
            where=circle.part,
            found=f"Ø {2.0 * circle.radius_mm:g} mm",
            accepted=f"a hole of more than {kerf_mm:g} mm",
        )
    return replace(circle, radius_mm=radius_mm)
