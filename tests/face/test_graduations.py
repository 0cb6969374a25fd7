"""Which values are marked and numbered: exact multiples, inside the scale, each once."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.errors import DesignError
from gaugecore.face.face import Graduations, Numerals
from gaugecore.face.graduations import Rank, figure, graduations_of, multiples, numerals_of
from gaugecore.face.scale import LinearScale
from tests.face.designs import FUEL, RUDDER


def test_tenths_do_not_drift() -> None:
    assert multiples(0.1, 0.0, 1.0, where="") == [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0]
    assert multiples(0.3, -1.0, 1.0, where="") == [-0.9, -0.6, -0.3, 0.0, 0.3, 0.6, 0.9]


@given(
    st.integers(1, 999),
    st.integers(0, 4),
    st.integers(-2000, 2000),
    st.integers(1, 3000),
)
def test_multiples_are_the_nearest_doubles_of_exact_ones(
    step: int, places: int, low_count: int, count: int
) -> None:
    unit = Fraction(1, 10**places)
    exact_step = step * unit
    low, high = float(low_count * exact_step), float((low_count + count) * exact_step)
    found = multiples(float(exact_step), low, high, where="")
    assert found == [float(n * exact_step) for n in range(low_count, low_count + count + 1)]


def test_what_lies_beyond_the_scale_is_left_out() -> None:
    face = RUDDER.model_copy(
        update={"scale": LinearScale(low_value=-33.0, high_value=12.0, low_deg=-90.0, high_deg=90.0)}
    )
    values = [mark.value for mark in graduations_of(face)]
    assert (min(values), max(values)) == (-33.0, 12.0)
    assert [n.value for n in numerals_of(face)] == [-30.0, -20.0, -10.0, 0.0, 10.0]


def test_a_value_is_drawn_once_at_its_highest_rank() -> None:
    marks = graduations_of(RUDDER)
    assert len(marks) == 71
    ranks = {mark.value: mark.rank for mark in marks}
    assert ranks[10.0] is Rank.MAJOR
    assert ranks[15.0] is Rank.INTERMEDIATE
    assert ranks[14.0] is Rank.MINOR


def test_a_whole_turn_has_its_first_and_last_value_once() -> None:
    face = RUDDER.model_copy(
        update={
            "scale": LinearScale(low_value=0.0, high_value=360.0, low_deg=0.0, high_deg=360.0),
            "graduations": Graduations(outer_radius_mm=36.0, major_step=30.0),
        }
    )
    assert [mark.value for mark in graduations_of(face)] == [30.0 * n for n in range(12)]
    assert [n.text for n in numerals_of(face)][:2] == ["0", "30"] or len(numerals_of(face)) == 12


def test_words_stand_in_for_figures() -> None:
    assert [(n.value, n.text) for n in numerals_of(FUEL)] == [(0.0, "E"), (0.5, "½"), (1.0, "F")]


def test_an_empty_word_leaves_a_numeral_out() -> None:
    assert FUEL.numerals is not None
    style = FUEL.numerals.model_copy(update={"texts": ((0.5, ""),)})
    face = FUEL.model_copy(update={"numerals": style})
    assert [n.text for n in numerals_of(face)] == ["0", "1"]


@pytest.mark.parametrize(
    ("value", "how", "text"),
    [
        (-10.0, {}, "−10"),
        (-10.0, {"unsigned": True}, "10"),
        (0.1 + 0.2, {"decimals": 1}, "0.3"),
        (-0.0, {}, "0"),
        (-0.4, {}, "0"),
        (1400.0, {"divisor": 100.0}, "14"),
        (1e12, {}, "1000000000000"),
        (2.5, {"decimals": 2}, "2.50"),
    ],
)
def test_figures_have_a_proper_minus_and_no_minus_zero(
    value: float, how: dict[str, object], text: str
) -> None:
    assert figure(value, Numerals(radius_mm=20.0, height_mm=3.0, **how)) == text  # type: ignore[arg-type]


@pytest.mark.parametrize("step", [1e-300, 1e-9, 0.019])
def test_a_step_that_floods_the_ring_is_refused(step: float) -> None:
    face = RUDDER.model_copy(update={"graduations": Graduations(outer_radius_mm=36.0, major_step=step)})
    with pytest.raises(
        DesignError, match=r"graduations.major_step: the step makes more marks .* accepted: at"
    ):
        graduations_of(face)
