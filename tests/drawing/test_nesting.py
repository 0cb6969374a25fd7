"""Nested pieces keep gap and margin: measured by shapely on the outlines themselves, not on our forms."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import KDTree
from shapely import Point, Polygon, STRtree, box
from shapely.affinity import rotate, translate

from gaugecore.drawing.disc_columns import most_discs
from gaugecore.drawing.forms import Form, form_of
from gaugecore.drawing.nesting import Placement, nest
from gaugecore.drawing.shapes import polygon_of
from gaugecore.drawing.stock import Stock
from gaugecore.errors import DesignError
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.pointer_plate import pointer_loop

#: A tenth of what a laser can place.
CLOSE_MM = 1e-3


def disc(diameter_mm: float, hole_mm: float = 0.0) -> tuple[Form, Polygon]:
    whole = Point(0.0, 0.0).buffer(diameter_mm / 2.0, quad_segs=90)
    if not hole_mm:
        return Form("disc", radius_mm=diameter_mm / 2.0), whole
    form = Form("ring", radius_mm=diameter_mm / 2.0, holes=(((0.0, 0.0), hole_mm / 2.0),))
    return form, whole.difference(Point(0.0, 0.0).buffer(hole_mm / 2.0, quad_segs=90))


def pointer(length_mm: float) -> tuple[Form, Polygon]:
    outline = polygon_of(pointer_loop(Pointer(length_mm=length_mm, tail_mm=10.0)))
    return form_of("pointer", outline), outline


def plate(width_mm: float, height_mm: float) -> tuple[Form, Polygon]:
    outline = box(-width_mm / 2.0, -height_mm / 2.0, width_mm / 2.0, height_mm / 2.0)
    return form_of("plate", outline), outline


def check(pieces: Sequence[tuple[Form, Polygon]], stock: Stock, sheets: list[list[Placement]]) -> None:
    assert sorted(one.piece for sheet in sheets for one in sheet) == list(range(len(pieces)))
    inside = box(0.0, 0.0, stock.width_mm, stock.height_mm).buffer(CLOSE_MM - stock.margin_mm)
    for sheet in sheets:
        lying = [translate(rotate(pieces[p.piece][1], -p.turn_deg, origin=(0, 0)), *p.at_mm) for p in sheet]
        assert all(inside.contains(one) for one in lying)
        for n, one in enumerate(lying):
            for other in STRtree(lying[n + 1 :]).query(one.buffer(stock.gap_mm)):
                assert one.distance(lying[n + 1 + other]) >= stock.gap_mm - CLOSE_MM


@pytest.mark.slow
def test_discs_pointers_and_plates_of_all_sizes_stay_apart_and_on_the_sheet() -> None:
    chance = random.Random(7)
    pieces = [disc(chance.choice((40.0, 55.0, 63.5, 80.0, 90.0))) for _ in range(40)]
    pieces += [pointer(chance.choice((18.0, 31.5))) for _ in range(30)]
    pieces += [plate(60.0, 45.0) for _ in range(6)] + [disc(94.0, 76.0) for _ in range(5)]
    stock = Stock(width_mm=400.0, height_mm=300.0)
    check(pieces, stock, nest([form for form, _ in pieces], stock))


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.one_of(
            st.floats(5.0, 80.0).map(disc),
            st.tuples(st.floats(30.0, 80.0), st.floats(9.0, 25.0)).map(lambda t: disc(t[0], t[0] - t[1])),
            st.tuples(st.floats(3.0, 80.0), st.floats(3.0, 60.0)).map(lambda t: plate(*t)),
        ),
        min_size=1,
        max_size=12,
    ),
    st.floats(0.0, 8.0),
    st.floats(0.0, 12.0),
)
def test_anything_that_fits_is_nested_soundly(
    pieces: list[tuple[Form, Polygon]], gap_mm: float, margin_mm: float
) -> None:
    stock = Stock(width_mm=180.0, height_mm=120.0, gap_mm=gap_mm, margin_mm=margin_mm)
    check(pieces, stock, nest([form for form, _ in pieces], stock))


def test_the_same_plates_always_lie_the_same_way() -> None:
    forms = [disc(d)[0] for d in (40.0, 60.0, 80.0)] * 5
    stock = Stock()
    assert nest(forms, stock) == nest(list(forms), stock)


def test_discs_lie_exactly_as_close_as_the_gap_allows() -> None:
    """Three of 50 mm in 160 mm: closed form, 3 * 50 + 2 * 5 = 160, with no margin."""
    stock = Stock(width_mm=160.0, height_mm=50.0, margin_mm=0.0, gap_mm=5.0)
    sheets = nest([disc(50.0)[0]] * 3, stock)
    assert len(sheets) == 1
    assert sorted(one.at_mm[0] for one in sheets[0]) == pytest.approx([25.0, 80.0, 135.0], abs=1e-3)


def test_rows_of_equal_discs_are_staggered() -> None:
    """Rows sqrt(3)/2 of a disc apart (hexagonal packing): 7 rows in the height of 6 when laid square."""
    high_mm = 10.0 * (1.0 + 6.0 * math.sqrt(3.0) / 2.0) + 0.01
    stock = Stock(width_mm=105.0, height_mm=high_mm, margin_mm=0.0, gap_mm=0.0)
    assert len(nest([disc(10.0)[0]] * 70, stock)) == 1


def test_what_fits_in_a_ring_lies_in_the_ring() -> None:
    stock = Stock(width_mm=110.0, height_mm=110.0)
    pieces = [disc(94.0, 76.0), disc(60.0)]
    sheets = nest([form for form, _ in pieces], stock)
    assert len(sheets) == 1
    check(pieces, stock, sheets)


def test_a_plate_that_only_fits_sideways_is_turned() -> None:
    stock = Stock(width_mm=100.0, height_mm=30.0, margin_mm=5.0)
    assert nest([plate(18.0, 88.0)[0]], stock)[0][0].turn_deg in (90.0, 270.0)
    with pytest.raises(DesignError, match=r"larger than a sheet of cast acrylic, 3 mm, found '18 x 88 mm'"):
        nest([plate(18.0, 88.0)[0]], stock, turns_deg=(0.0,))


@pytest.mark.parametrize(
    ("diameter_mm", "margin_mm", "said"),
    [
        (191.0, 5.0, r"disc: the plate is larger than a sheet of cast acrylic, 3 mm, found 'Ø 191 mm'"),
        (10.0, 150.0, r"accepted: at most 0 x 0 mm \(300 x 200 mm less the margin\)"),
    ],
)
def test_a_sheet_smaller_than_a_plate_is_refused(diameter_mm: float, margin_mm: float, said: str) -> None:
    with pytest.raises(DesignError, match=said):
        nest([disc(diameter_mm)[0]], Stock(margin_mm=margin_mm))


def test_nothing_needs_no_sheet_and_pairs_share_one() -> None:
    assert nest([], Stock()) == []
    for one, other in combinations((disc(60.0), pointer(31.0), plate(40.0, 70.0)), 2):
        assert len(nest([one[0], other[0]], Stock())) == 1


def test_seven_discs_of_80_mm_lie_on_a_sheet_that_takes_six_laid_square() -> None:
    """Columns of 2, 1, 2 and 2: 3 x 62.2 + 83 = 207.4 mm of the 210 there are, by Pythagoras."""
    pieces = [disc(80.0)] * 14
    sheets = nest([form for form, _ in pieces], Stock())
    assert [len(sheet) for sheet in sheets] == [7, 7]
    check(pieces, Stock(), sheets)


@settings(deadline=None)
@given(st.floats(12.0, 60.0), st.floats(5.0, 300.0), st.floats(5.0, 200.0))
def test_columns_of_discs_never_overlap_and_never_leave_the_sheet(
    pitch_mm: float, width_mm: float, height_mm: float
) -> None:
    places = most_discs(pitch_mm, width_mm, height_mm)
    square = int((width_mm + 1e-6) // pitch_mm) * int((height_mm + 1e-6) // pitch_mm)
    assert len(places) >= square
    for x, y in places:
        assert pitch_mm / 2.0 - 1e-5 <= x <= width_mm - pitch_mm / 2.0 + 1e-5
        assert pitch_mm / 2.0 - 1e-5 <= y <= height_mm - pitch_mm / 2.0 + 1e-5
    if len(places) > 1:
        nearest_mm, _ = KDTree(places).query(places, k=2)
        assert nearest_mm[:, 1].min() >= pitch_mm - 1e-5
