"""Preferred values against published lists."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.errors import DesignError
from gaugecore.supply.preferred import Series, next_value, values

# Published list of preferred component values (an amateur-radio components page); IEC 60063 itself not seen.
E6 = [10, 15, 22, 33, 47, 68]
E12 = sorted([*E6, 12, 18, 27, 39, 56, 82])
E24 = sorted([*E12, 11, 13, 16, 20, 24, 30, 36, 43, 51, 62, 75, 91])


@pytest.mark.parametrize(("series", "listed"), [(Series.E6, E6), (Series.E12, E12), (Series.E24, E24)])
def test_the_short_series_are_the_published_lists(series: Series, listed: list[int]) -> None:
    assert list(values(series)) == listed


def test_e24_leaves_its_formula_at_exactly_eight_places() -> None:
    calculated = [round(10.0 * 10.0 ** (i / 24.0)) for i in range(24)]
    off = {
        i: (c, int(v)) for i, (c, v) in enumerate(zip(calculated, values(Series.E24), strict=True)) if c != v
    }
    assert off == {
        10: (26, 27), 11: (29, 30), 12: (32, 33), 13: (35, 36),
        14: (38, 39), 15: (42, 43), 16: (46, 47), 22: (83, 82),
    }  # fmt: skip


def test_e96_starts_and_ends_as_known() -> None:
    # from memory: 100 102 105 107 110 113 ... 976
    e96 = [round(value * 10) for value in values(Series.E96)]
    assert e96[:6] == [100, 102, 105, 107, 110, 113]
    assert e96[-1] == 976
    assert len(set(e96)) == 96


@given(st.floats(1e-3, 1e8), st.sampled_from(Series))
def test_the_next_value_is_of_the_series_and_the_smallest_that_is_not_below(
    ohm: float, series: Series
) -> None:
    chosen = next_value(ohm, series)
    assert chosen >= ohm * (1 - 1e-8)
    mantissa = chosen / 10.0 ** math.floor(math.log10(chosen) + 1e-12) * 10.0
    assert any(math.isclose(mantissa, value, rel_tol=1e-9) for value in values(series))
    # no value of the series lies between
    between = [
        value * 10.0**power
        for power in range(-5, 9)
        for value in values(series)
        if ohm * (1 + 1e-8) < value * 10.0**power < chosen * (1 - 1e-8)
    ]
    assert not between


@pytest.mark.parametrize("ohm", [0.0, -1.0, math.inf, math.nan])
def test_a_resistance_of_nothing_is_refused_in_one_sentence(ohm: float) -> None:
    with pytest.raises(
        DesignError, match=r"a resistance must be more than zero, found .*; accepted: more than 0"
    ):
        next_value(ohm)
