"""Kerf: the worked examples of two cutting services, and everything else against shapely.

- help.ponoko.com/en/articles/4442594: kerf 0.2 mm, 40 mm square drawn as 40.2 for 40, a hole of 40 as 39.8.
- snijlab.nl/en/p/495/kerf-width: kerf 0.2 mm, 2 x 4 mm drawn as 2.2 x 4.2 for a piece, 1.8 x 3.8 for an
  opening.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from gaugecore.drawing.elements import Box, Circle, Drawing, Line, Operation, Outline, Vertex
from gaugecore.drawing.kerf import allow_for_kerf
from gaugecore.drawing.kerf_test import BLOCKS, kerf_from_gap_mm, kerf_test_piece
from gaugecore.drawing.offset import offset_loop
from gaugecore.drawing.ring import circle_loop, ring_loops
from gaugecore.drawing.shapes import polygon_of
from gaugecore.errors import DesignError, InputError
from gaugecore.movement.gears import gear_loop, gears_of
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.pointer_plate import pointer_loop
from gaugecore.movement.train import GearPair


def rectangle(width_mm: float, height_mm: float, *, clockwise: bool = False) -> tuple[Vertex, ...]:
    x, y = width_mm / 2.0, height_mm / 2.0
    loop = ((-x, -y, 0.0), (x, -y, 0.0), (x, y, 0.0), (-x, y, 0.0))
    return loop[::-1] if clockwise else loop


def cut(*loops: tuple[Vertex, ...]) -> Outline:
    return Outline(operation=Operation.CUT, part="plate", loops=loops)


def ring(radius_mm: float, part: str = "ring", operation: Operation = Operation.CUT) -> Circle:
    return Circle(operation=operation, part=part, centre_mm=(0.0, 0.0), radius_mm=radius_mm)


def drawing(*elements: Outline | Circle | Line) -> Drawing:
    box = Box(left_mm=-50.0, bottom_mm=-50.0, right_mm=50.0, top_mm=50.0)
    return Drawing(name="d", title="D", box=box, elements=elements)


def sizes(made: Drawing) -> list[tuple[float, float]]:
    found = []
    for element in made.elements:
        assert isinstance(element, Outline)
        for loop in element.loops:
            xs, ys = [v[0] for v in loop], [v[1] for v in loop]
            found.append((max(xs) - min(xs), max(ys) - min(ys)))
    return found


@pytest.mark.parametrize("clockwise", [False, True])
def test_a_square_of_40_is_drawn_40_2_and_a_hole_of_40_is_drawn_39_8(clockwise: bool) -> None:
    assert sizes(allow_for_kerf(drawing(cut(rectangle(40, 40, clockwise=clockwise))), 0.2)) == [
        pytest.approx((40.2, 40.2))
    ]
    plate = drawing(cut(rectangle(60, 60)), cut(rectangle(40, 40, clockwise=clockwise)))
    assert sizes(allow_for_kerf(plate, 0.2)) == [pytest.approx((60.2, 60.2)), pytest.approx((39.8, 39.8))]


def test_a_piece_of_2_by_4_is_drawn_2_2_by_4_2_and_an_opening_1_8_by_3_8() -> None:
    assert sizes(allow_for_kerf(drawing(cut(rectangle(2, 4))), 0.2)) == [pytest.approx((2.2, 4.2))]
    plate = drawing(cut(rectangle(20, 20), rectangle(2, 4)))
    assert sizes(allow_for_kerf(plate, 0.2))[1] == pytest.approx((1.8, 3.8))


def test_a_laser_that_follows_the_moved_line_leaves_the_drawn_plate() -> None:
    """The beam is a disc as wide as the kerf; what it sweeps is taken away by shapely."""
    kerf_mm = 0.2
    loop = rectangle(40, 40)
    swept = polygon_of(offset_loop(loop, kerf_mm / 2.0))
    left = swept.difference(swept.exterior.buffer(kerf_mm / 2.0, quad_segs=64))
    assert left.symmetric_difference(polygon_of(loop)).area < 1e-6


def test_circles_stay_circles_and_what_lies_in_what_says_which_way_they_go() -> None:
    made = allow_for_kerf(drawing(ring(20.0), ring(10.0, "hole"), ring(4.0, "plate in the hole")), 0.3)
    assert [e.radius_mm for e in made.elements if isinstance(e, Circle)] == pytest.approx([20.15, 9.85, 4.15])


def test_only_closed_cut_lines_are_moved() -> None:
    line = Line(operation=Operation.CUT, part="slit", start_mm=(0.0, 0.0), end_mm=(5.0, 0.0))
    plain = drawing(ring(20.0, "print", Operation.PRINT), ring(20.0, "score", Operation.SCORE), line)
    assert allow_for_kerf(plain, 0.2) == plain
    assert allow_for_kerf(drawing(ring(20.0)), 0.0) == drawing(ring(20.0))


SHAPES = {
    "pointer": pointer_loop(Pointer(length_mm=30.0, tail_mm=12.0)),
    "pointer without a tail": pointer_loop(Pointer(length_mm=30.0)),
    "needle point": pointer_loop(Pointer(length_mm=30.0, tip_width_mm=0.3, tail_mm=9.0)),
    "gear": gear_loop(gears_of(GearPair(ratio=2.0, movement_teeth=48, pointer_teeth=24))[1]),
    "piece of a ring": ring_loops(20.0, 30.0, 10.0, 250.0)[0],
    "disc": circle_loop(12.0),
    "rectangle": rectangle(12.4, 23.0),
}


@pytest.mark.slow
@pytest.mark.parametrize("by_mm", [0.1, -0.1, 0.04, 0.45])
@pytest.mark.parametrize("name", SHAPES)
def test_a_moved_loop_is_what_shapely_makes_of_it(name: str, by_mm: float) -> None:
    loop = SHAPES[name]
    before, after = polygon_of(loop), polygon_of(offset_loop(loop, by_mm))
    assert after.is_valid
    # everywhere as far away as asked, at corners no farther than the prolonging allows
    assert after.exterior.distance(before.exterior) == pytest.approx(abs(by_mm), abs=0.005)
    assert after.exterior.hausdorff_distance(before.exterior) <= 2.0 * abs(by_mm) + 0.005
    rounded = before.buffer(by_mm, quad_segs=64)
    assert after.symmetric_difference(rounded).area < 0.004 * before.length + by_mm**2 * len(loop)


@pytest.mark.slow
@pytest.mark.parametrize("by_mm", [0.1, -0.1])
def test_arcs_stay_true_arcs(by_mm: float) -> None:
    for name in ("pointer", "gear", "piece of a ring", "disc"):
        before = sum(1 for vertex in SHAPES[name] if vertex[2])
        after = offset_loop(SHAPES[name], by_mm)
        assert sum(1 for vertex in after if vertex[2]) >= before
        assert len(after) <= 2 * len(SHAPES[name])
    (x, y, _), *_ = offset_loop(SHAPES["disc"], by_mm)
    assert math.hypot(x, y) == pytest.approx(12.0 + by_mm, abs=1e-9)


@given(
    st.lists(st.tuples(st.floats(0.3, 1.0), st.floats(0.2, 0.8)), min_size=3, max_size=12),
    st.floats(-0.4, 0.4).filter(lambda by: abs(by) > 0.01),
)
def test_any_star_is_moved_soundly_or_refused(spokes: list[tuple[float, float]], by_mm: float) -> None:
    step = 2.0 * math.pi / len(spokes)
    loop = tuple(
        (20.0 * r * math.cos((n + turn) * step), 20.0 * r * math.sin((n + turn) * step), 0.0)
        for n, (r, turn) in enumerate(spokes)
    )
    before = Polygon([vertex[:2] for vertex in loop])
    if not before.is_valid:
        return
    try:
        after = polygon_of(offset_loop(loop, by_mm))
    except DesignError:
        return
    assert after.exterior.distance(before.exterior) >= abs(by_mm) - 0.007
    assert after.contains(before) if by_mm > 0 else before.contains(after)


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (
            drawing(ring(20.0), ring(0.1, "pin")),
            "pin: the kerf of 0.3 mm is as wide as the hole, found 'Ø 0.2 mm'",
        ),
        (drawing(cut(rectangle(20, 20), rectangle(0.2, 9))), "too narrow for a kerf of 0.3 mm"),
        (drawing(ring(20.0), cut(rectangle(50, 5))), "two cut lines cross"),
    ],
)
def test_refusals(made: Drawing, said: str) -> None:
    with pytest.raises(DesignError, match=said):
        allow_for_kerf(made, 0.3)


def test_a_slot_narrower_than_the_kerf_is_not_closed_silently() -> None:
    slotted = (
        (-10.0, -10.0, 0.0), (10.0, -10.0, 0.0), (10.0, 10.0, 0.0), (0.1, 10.0, 0.0),
        (0.1, -5.0, 0.0), (-0.1, -5.0, 0.0), (-0.1, 10.0, 0.0), (-10.0, 10.0, 0.0),
    )  # fmt: skip
    assert len(offset_loop(slotted, 0.05)) == 8
    with pytest.raises(DesignError, match=r"narrower than the kerf of 0.3 mm and would close up"):
        offset_loop(slotted, 0.15)


def test_the_test_piece_shows_the_kerf_eleven_times() -> None:
    """Blocks pushed together leave the window by what all cuts took: worked out from the drawn lines."""
    piece, kerf_mm = kerf_test_piece(), 0.23
    for axis in (0, 1):
        name = "xy"[axis]
        window = next(e for e in piece.elements if e.part == f"kerf.{name}.window")
        assert isinstance(window, Outline)
        along = sorted({vertex[axis] for vertex in window.loops[0]})
        lines = [e for e in piece.elements if isinstance(e, Line) and e.part.startswith(f"kerf.{name}.")]
        stops = sorted([*along, *(line.start_mm[axis] for line in lines)])
        blocks = [after - before - kerf_mm for before, after in pairwise(stops)]
        assert len(blocks) == BLOCKS
        gap_mm = along[1] - along[0] + kerf_mm - sum(blocks)
        assert kerf_from_gap_mm(gap_mm) == pytest.approx(kerf_mm)
    with pytest.raises(InputError, match="accepted: 0 to 22 mm"):
        kerf_from_gap_mm(-1.0)
