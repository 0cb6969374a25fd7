"""The pointer as a plate of its own: one outline of blade, boss and tail, and the bore."""

from __future__ import annotations

import math
from typing import Final

from gaugecore.drawing.elements import AnyElement, Box, Circle, Drawing, Operation, Outline, Vertex
from gaugecore.drawing.guides import CUT_COLOUR, MARGIN_MM, caption, centre_mark
from gaugecore.drawing.ring import circle_loop
from gaugecore.errors import DesignError
from gaugecore.movement.pointer import Pointer
from gaugecore.polar import bulge_of, dial_to_xy_mm

#: A narrow part still needs a sheet that its caption fits on.
_NARROWEST_MM: Final = 76.0


def draw_pointer(pointer: Pointer, *, name: str, title: str, field: str = "pointer") -> Drawing:
    """Return the drawing of a pointer, its bore at the origin, pointing to twelve o'clock.

    Parameters
    ----------
    pointer : Pointer
        What to draw.
    name, title : str
        For file names and for people.
    field : str
        What the instrument calls it: ``pointer``, or ``slow_pointer`` for the second one.

    Raises
    ------
    DesignError
        If its measures contradict each other.
    """
    loop = pointer_loop(pointer, field=field)
    half_width_mm = max(pointer.boss_diameter_mm / 2.0 + MARGIN_MM, _NARROWEST_MM / 2.0)
    lowest_mm = -max(pointer.boss_diameter_mm / 2.0, pointer.tail_mm)
    words = f"{title} · {field.replace('_', ' ')} {pointer.length_mm:g} mm, bore Ø {pointer.bore_mm:g} mm"
    return Drawing(
        name=name,
        title=title,
        box=Box(
            left_mm=-half_width_mm,
            bottom_mm=lowest_mm - MARGIN_MM,
            right_mm=half_width_mm,
            top_mm=pointer.length_mm + MARGIN_MM,
        ),
        elements=(
            Outline(
                operation=Operation.PRINT,
                part="pointer.body",
                colour=pointer.colour,
                loops=(loop, circle_loop(pointer.bore_mm / 2.0)) if pointer.bore_mm else (loop,),
                filled=True,
            ),
            *_cuts(pointer, loop),
            *centre_mark(part="pointer.centre"),
            caption(words, at_mm=(0.0, lowest_mm - MARGIN_MM / 2.0), longest_mm=2.0 * half_width_mm - 4.0),
        ),
    )


def pointer_loop(pointer: Pointer, *, field: str = "pointer") -> tuple[Vertex, ...]:
    """Return the outline of a pointer: clockwise from the left of the tip, the boss as true arcs.

    Raises
    ------
    DesignError
        If its measures contradict each other.
    """
    _check(pointer, field)
    boss_mm = pointer.boss_diameter_mm / 2.0
    blade_deg = math.degrees(math.asin(pointer.blade_width_mm / 2.0 / boss_mm))
    tip = pointer.tip_width_mm / 2.0, pointer.length_mm
    blade = dial_to_xy_mm(blade_deg, boss_mm)
    if not _has_tail(pointer):
        return (
            (-tip[0], tip[1], 0.0),
            (*tip, 0.0),
            (*blade, bulge_of(180.0 - blade_deg)),
            (*dial_to_xy_mm(180.0, boss_mm), bulge_of(180.0 - blade_deg)),
            (-blade[0], blade[1], 0.0),
        )
    tail_deg = 180.0 - math.degrees(math.asin(pointer.tail_width_mm / 2.0 / boss_mm))
    tail = dial_to_xy_mm(tail_deg, boss_mm)
    bulge = bulge_of(tail_deg - blade_deg)
    return (
        (-tip[0], tip[1], 0.0),
        (*tip, 0.0),
        (*blade, bulge),
        (*tail, 0.0),
        (tail[0], -pointer.tail_mm, 0.0),
        (-tail[0], -pointer.tail_mm, 0.0),
        (-tail[0], tail[1], bulge),
        (-blade[0], blade[1], 0.0),
    )


def _cuts(pointer: Pointer, loop: tuple[Vertex, ...]) -> list[AnyElement]:
    cuts: list[AnyElement] = []
    if pointer.bore_mm:
        # the bore first: once the pointer is cut free it may shift
        cuts.append(
            Circle(
                operation=Operation.CUT,
                part="pointer.bore",
                colour=CUT_COLOUR,
                centre_mm=(0.0, 0.0),
                radius_mm=pointer.bore_mm / 2.0,
            )
        )
    cuts.append(Outline(operation=Operation.CUT, part="pointer.outline", colour=CUT_COLOUR, loops=(loop,)))
    return cuts


def _has_tail(pointer: Pointer) -> bool:
    boss_mm = pointer.boss_diameter_mm / 2.0
    return pointer.tail_mm > boss_mm


def _check(pointer: Pointer, pointer_field: str) -> None:
    boss_mm = pointer.boss_diameter_mm
    rules = (
        (pointer.length_mm > boss_mm / 2.0, "length_mm", pointer.length_mm, f"more than {boss_mm / 2.0:g}"),
        (pointer.bore_mm < boss_mm, "bore_mm", pointer.bore_mm, f"less than {boss_mm:g}"),
        (
            pointer.blade_width_mm < boss_mm,
            "blade_width_mm",
            pointer.blade_width_mm,
            f"less than {boss_mm:g}",
        ),
        (
            pointer.tail_width_mm < boss_mm or not _has_tail(pointer),
            "tail_width_mm",
            pointer.tail_width_mm,
            f"less than {boss_mm:g}",
        ),
    )
    for holds, field, found, accepted in rules:
        if not holds:
            raise DesignError(
                f"does not fit the boss of {boss_mm:g} mm diameter",
                where=f"{pointer_field}.{field}",
                found=found,
                accepted=f"{accepted} mm",
            )
