"""A table as bytes in a slot."""

from fractions import Fraction
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.board.stored_table import Course, StoredTable
from gaugecore.calibration.readings import Direction
from gaugecore.errors import ProtocolError
from gaugecore.table.choose import make_table
from gaugecore.table.follow import Follower
from tests.table.curves import curve_a, order, target_of

numbers = st.integers(0, 0xFFFF)
branches = st.dictionaries(numbers, numbers, min_size=2, max_size=255).map(lambda d: tuple(sorted(d.items())))


@given(branches, st.one_of(st.just(()), branches), st.integers(0, 255))
def test_a_table_comes_back_from_its_bytes(rising, falling, hysteresis):
    table = StoredTable(rising, falling, hysteresis)
    assert StoredTable.from_bytes(table.to_bytes()) == table


@given(branches, numbers)
def test_between_knots_it_is_the_nearest_whole_number_on_the_line(knots, raw):
    """Against exact fractions; ties may go either way."""
    command = StoredTable(knots).command(raw)
    inside = [pair for pair in pairwise(knots) if pair[0][0] <= raw <= pair[1][0]]
    if not inside:
        assert command == (knots[0] if raw < knots[0][0] else knots[-1])[1]
        return
    (r0, c0), (r1, c1) = inside[0]
    exact = c0 + Fraction(raw - r0, r1 - r0) * (c1 - c0)
    assert abs(command - exact) <= Fraction(1, 2)


@given(branches, numbers)
def test_the_sum_in_the_document_never_overflows_32_bits(knots, raw):
    for (r0, c0), (r1, c1) in pairwise(knots):
        if r0 <= raw <= r1:
            assert (raw - r0) * abs(c1 - c0) + (r1 - r0) // 2 < 2**32


def test_the_branch_follows_the_way_the_raw_value_went():
    table = StoredTable(((0, 1000), (100, 2000)), ((0, 1100), (100, 2100)))
    assert (table.command(50), table.command(50, falls=True)) == (1500, 1600)


@cache
def _exported(hysteresis):
    ends = ((1000.0, 5000.0), (1047.0, 5061.0))
    targets = [target_of(curve_a, commands=one) for one in ends]
    return make_table(targets, order("both", 4.0, hysteresis=hysteresis))


@given(st.lists(numbers, min_size=1, max_size=40), st.sampled_from([0, 1, 9, 255]))
def test_the_course_turns_as_the_exported_tables_do(raws, hysteresis):
    """Against the rule of the exported tables, which the small program follows."""
    follower, course = Follower(_exported(hysteresis)), Course()
    for raw in raws:
        follower.command(raw)
        course = course.after(raw, hysteresis)
        assert course.falls == (follower.direction is Direction.DOWN)


def test_without_hysteresis_any_turn_counts_as_before_there_was_one():
    course, ways = Course(), []
    for raw in (50, 50, 51, 50, 50, 49, 50, 50):
        course = course.after(raw, 0)
        ways.append(course.falls)
    assert ways == [False, False, False, True, True, True, False, False]


@given(st.binary(max_size=64))
def test_any_bytes_are_a_table_or_refused(content):
    try:
        table = StoredTable.from_bytes(content)
    except ProtocolError:
        return
    assert table.to_bytes() == content


@pytest.mark.parametrize("hysteresis", [-1, 256])
def test_a_hysteresis_that_is_no_byte_is_refused(hysteresis):
    with pytest.raises(ProtocolError, match="hysteresis"):
        StoredTable(((0, 1), (5, 2)), hysteresis=hysteresis)


@pytest.mark.parametrize(
    "knots", [((0, 1),), ((5, 1), (5, 2)), ((0, 0), (70000, 1)), tuple((i, i) for i in range(256))]
)
def test_what_is_no_branch_is_refused(knots):
    with pytest.raises(ProtocolError):
        StoredTable(knots)
