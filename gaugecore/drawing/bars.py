"""Bars of known length: the only proof that a page was printed at its true size."""

from __future__ import annotations

from typing import Final

from gaugecore.drawing.elements import AnyElement, Line, Operation
from gaugecore.drawing.lettering import letter
from gaugecore.polar import Point

BAR_MM: Final = 100.0
_DIVISION_MM: Final = 10
_END_MM: Final = 5.0
_TICK_MM: Final = 2.5
_LINE_MM: Final = 0.2
_LETTER_MM: Final = 2.5


def bar(at_mm: Point, *, upright: bool, operation: Operation = Operation.PRINT) -> list[AnyElement]:
    """Return a bar 100 mm long, from a point to the right or upward, with marks every 10 mm.

    The length is that between the middles of the end marks; the part names are ``bar.x`` and ``bar.y``.
    """
    axis = "y" if upright else "x"

    def place(along_mm: float, across_mm: float) -> Point:
        # the marks stand above a level bar and to the left of an upright one
        if upright:
            return at_mm[0] - across_mm, at_mm[1] + along_mm
        return at_mm[0] + along_mm, at_mm[1] + across_mm

    def line(part: str, start_mm: Point, end_mm: Point) -> Line:
        return Line(operation=operation, part=part, width_mm=_LINE_MM, start_mm=start_mm, end_mm=end_mm)

    drawn: list[AnyElement] = [line(f"bar.{axis}", place(0.0, 0.0), place(BAR_MM, 0.0))]
    for along_mm in range(0, int(BAR_MM) + 1, _DIVISION_MM):
        reach_mm = _END_MM if along_mm in (0, int(BAR_MM)) else _TICK_MM
        drawn.append(
            line(f"bar.{axis}.{along_mm}", place(along_mm, -_LINE_MM / 2.0), place(along_mm, reach_mm))
        )
    drawn.append(
        letter(
            f"{axis}: {BAR_MM:g} mm between the end marks",
            operation=operation,
            part=f"bar.{axis}.caption",
            height_mm=_LETTER_MM,
            at_mm=place(BAR_MM / 2.0, _END_MM + 1.0),
            turn_deg=-90.0 if upright else 0.0,
        )
    )
    return drawn
