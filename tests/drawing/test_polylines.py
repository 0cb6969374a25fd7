"""Polylines as a value: compared, hashed and read point by point like tuples of tuples."""

from __future__ import annotations

import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.drawing.polylines import Polylines

points = st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
many = st.lists(st.lists(points, min_size=1, max_size=5).map(tuple), max_size=5).map(tuple)


@given(many)
def test_what_goes_in_comes_out(lines: tuple[tuple[tuple[float, float], ...], ...]) -> None:
    value = Polylines.of(lines)
    assert tuple(value) == lines
    assert len(value) == len(lines)
    assert [value[at] for at in range(len(lines))] == list(lines)
    assert pickle.loads(pickle.dumps(value)) == value


@given(many, many)
def test_equal_as_tuples_is_equal(one: tuple, other: tuple) -> None:  # type: ignore[type-arg]
    assert (Polylines.of(one) == Polylines.of(other)) == (one == other)
    assert Polylines.of(one) == Polylines.of(list(one))
    assert hash(Polylines.of(one)) == hash(Polylines.of(list(one)))


def test_nothing_and_minus_nothing_are_one_value() -> None:
    one, other = Polylines.of([((0.0, 1.0),)]), Polylines.of([((-0.0, 1.0),)])
    assert one == other
    assert hash(one) == hash(other)


def test_points_cannot_be_moved() -> None:
    value = Polylines.of([((0.0, 1.0), (2.0, 3.0))])
    with pytest.raises(ValueError, match="read-only"):
        value.points_mm[0, 0] = 5.0
    assert np.array_equal(value.points_mm, [[0.0, 1.0], [2.0, 3.0]])
