"""How a needle follows its value."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.feed.damping import DampedNeedle, Damping


def test_without_damping_it_is_where_the_value_is():
    needle = DampedNeedle(Damping())
    assert [needle.follow(deg, 0.01) for deg in (5.0, -80.0, 80.0)] == [5.0, -80.0, 80.0]


@given(st.lists(st.floats(0.0, 0.5), min_size=1, max_size=30), st.floats(0.05, 5.0))
def test_a_step_is_followed_as_a_first_order_lag_however_often_it_is_looked_at(steps_s, lag_s):
    """Closed form: 1 - exp(-t/T) of the way (textbook)."""
    needle = DampedNeedle(Damping(time_constant_s=lag_s))
    needle.follow(0.0, 0.0)
    for step_s in steps_s:
        angle_deg = needle.follow(100.0, step_s)
    assert angle_deg == pytest.approx(100.0 * (1 - math.exp(-sum(steps_s) / lag_s)), abs=1e-9)


@given(st.lists(st.tuples(st.floats(-180, 180), st.floats(0.0, 0.2)), max_size=40))
def test_it_never_turns_faster_than_it_may(path):
    needle = DampedNeedle(Damping(time_constant_s=0.1, most_deg_per_s=90.0))
    at_deg = needle.follow(0.0, 0.0)
    for wanted_deg, step_s in path:
        next_deg = needle.follow(wanted_deg, step_s)
        assert abs(next_deg - at_deg) <= 90.0 * step_s + 1e-9
        # and never beyond the value
        assert min(at_deg, wanted_deg) - 1e-9 <= next_deg <= max(at_deg, wanted_deg) + 1e-9
        at_deg = next_deg


def test_a_clock_that_goes_back_moves_nothing():
    needle = DampedNeedle(Damping(time_constant_s=1.0))
    needle.follow(10.0, 0.0)
    assert needle.follow(50.0, -5.0) == 10.0
