"""Elements as the text of DXF entities."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import count
from typing import Any, Final

from gaugecore.drawing import dxf_specimens as specimens
from gaugecore.drawing.dxf_frame import layer_name
from gaugecore.drawing.dxf_specimens import Look, Maker, specimen
from gaugecore.drawing.elements import AnyElement, Arc, Circle, Line, Outline, Vertex
from gaugecore.drawing.ring import circle_loop
from gaugecore.drawing.runs import Run
from gaugecore.polar import bulge_of, dial_to_xy_mm

#: Only floating point dust goes from what is round: a bulge makes many times the rounding of rounded ends.
_ROUND_DECIMALS: Final = 9
#: The tag with the number of vertices of a polyline, as the specimen of two has it.
_TWO_VERTICES: Final = "\n 90\n2\n"


class EntityTexts:
    """Collects the text of entities, each with a handle of its own.

    Parameters
    ----------
    owner : str
        Handle of what the entities belong to.
    first_handle : int
        The handle of the first of them.
    """

    def __init__(self, owner: str, first_handle: int) -> None:
        self._owner = owner
        self._handles = count(first_handle)
        self._texts: list[str] = []

    def text(self) -> str:
        """Return all of them, in the order they were added."""
        return "".join(self._texts)

    def next_handle(self) -> int:
        """Return a handle that none of them has."""
        return next(self._handles)

    def add(self, run: Run) -> None:
        """Add elements that look alike."""
        first = run.first
        width_mm = round(first.width_mm, _ROUND_DECIMALS)
        look = Look(self._owner, layer_name(first.operation), int(first.colour[1:], 16), width_mm)
        if not run.straight:
            for element in run.elements:
                self._add_shape(element, look)
        elif isinstance(first, Line) and not width_mm:
            self._add_lines(run, look)
        else:
            self._add_polylines(run, look)

    def _add_lines(self, run: Run, look: Look) -> None:
        for line in run.line_texts(between_numbers=" ", between_points=" "):
            self._add(specimens.line, look, None, line.split())

    def _add_polylines(self, run: Run, look: Look) -> None:
        to_handle, to_x, to_y, to_next_x, _, end = specimen(specimens.open_polyline, look, (False, False), 4)
        head, _, tail = to_x.partition(_TWO_VERTICES)
        lines = run.line_texts(between_numbers=to_y, between_points=to_next_x)
        self._texts += [
            f"{to_handle}{handle:X}{head}\n 90\n{length}\n{tail}{line}{end}"
            for length, line, handle in zip(run.polylines.lengths, lines, self._handles, strict=False)
        ]

    def _add_shape(self, element: AnyElement, look: Look) -> None:
        match element:
            case Arc(width_mm=0.0):
                # DXF arcs run counter-clockwise from three o'clock
                angles = 90.0 - element.end_deg, 90.0 - element.start_deg
                self._add(specimens.arc, look, None, (*_round_numbers(element), *angles))
            case Arc():
                bulges, numbers = _parted(_arc_vertices(element))
                self._add(specimens.open_polyline, look, bulges, numbers)
            case Circle(filled=False, width_mm=0.0):
                self._add(specimens.circle, look, None, _round_numbers(element))
            case Circle():
                self._add_loops((circle_loop(element.radius_mm, element.centre_mm),), element.filled, look)
            case Outline():
                self._add_loops(element.loops, element.filled, look)

    def _add_loops(self, loops: Sequence[tuple[Vertex, ...]], filled: bool, look: Look) -> None:
        parted = [_parted(loop) for loop in loops]
        if filled:
            form = tuple(bulges for bulges, _ in parted)
            self._add(specimens.hatch, look, form, [n for _, numbers in parted for n in numbers])
        for bulges, numbers in parted:
            self._add(specimens.closed_polyline, look, bulges, numbers)

    def _add(self, make: Maker, look: Look, form: Any, numbers: Sequence[float] | Sequence[str]) -> None:
        copy = "%s".join(specimen(make, look, form, len(numbers)))
        self._texts.append(copy % (f"{self.next_handle():X}", *numbers))


def _parted(loop: Iterable[Vertex]) -> tuple[specimens.Bulges, list[float]]:
    """Return which vertices have a bulge, and the numbers of all."""
    numbers: list[float] = []
    for x_mm, y_mm, bulge in loop:
        # a bulge is no length: rounded as one it would bend the arc by a tenth of a micrometre
        numbers += (_rounded(x_mm), _rounded(y_mm), *((bulge,) if bulge else ()))
    return tuple(bool(bulge) for _, _, bulge in loop), numbers


def _round_numbers(element: Arc | Circle) -> tuple[float, float, float]:
    x_mm, y_mm = element.centre_mm
    return _rounded(x_mm), _rounded(y_mm), _rounded(element.radius_mm)


def _arc_vertices(arc: Arc) -> tuple[Vertex, ...]:
    """Return an arc as two halves: a bulge grows without bound toward a full turn."""
    middle_deg = (arc.start_deg + arc.end_deg) / 2.0
    bulge = bulge_of(middle_deg - arc.start_deg)
    return tuple(
        (*dial_to_xy_mm(deg, arc.radius_mm, arc.centre_mm), turn)
        for deg, turn in ((arc.start_deg, bulge), (middle_deg, bulge), (arc.end_deg, 0.0))
    )


def _rounded(number: float) -> float:
    return round(number, _ROUND_DECIMALS) + 0.0
