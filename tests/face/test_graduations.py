"""Which values are marked and numbered: exact multiples, inside the scale, each once."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.drawing.elements import Line
from gaugecore.errors import DesignError
from gaugecore.face.face import Ends, Graduations, Numerals, ScaleBreak, SecondScale, Thousands
from gaugecore.face.graduations import Rank, figure, graduations_of, graduations_on, numerals_of
from gaugecore.face.layout import lay_out_face
from gaugecore.face.scale import CircularScale, LinearScale, LogarithmicScale, MultiTurnScale, PowerScale
from gaugecore.face.scale_rings import exact, rings_of
from gaugecore.face.steps import multiples, steps_of
from tests.face.designs import FUEL, RUDDER


def counted(step: float, low: float, high: float) -> list[float]:
    return [float(n) for n in multiples(step, exact(low), exact(high), where="").fractions()]


def test_tenths_do_not_drift() -> None:
    assert counted(0.1, 0.0, 1.0) == [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0]
    assert counted(0.3, -1.0, 1.0) == [-0.9, -0.6, -0.3, 0.0, 0.3, 0.6, 0.9]


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
    found = multiples(float(exact_step), exact(low), exact(high), where="").fractions()
    assert [float(n) for n in found] == [
        float(n * exact_step) for n in range(low_count, low_count + count + 1)
    ]


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
        (2.5, {"decimals": 1, "decimal_comma": True}, "2,5"),
        (12000.0, {"thousands": Thousands.COMMA}, "12,000"),
        (-1234567.5, {"thousands": Thousands.SPACE, "decimals": 1}, "−1\u202f234\u202f567.5"),
        (5.0, {"plus": True}, "+5"),
        (0.0, {"plus": True}, "0"),
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


def test_a_logarithmic_scale_is_graduated_by_decades_and_thins_itself() -> None:
    face = RUDDER.model_copy(
        update={
            "scale": LogarithmicScale(low_value=1.0, high_value=1000.0, low_deg=-135.0, high_deg=135.0),
            "graduations": Graduations(
                outer_radius_mm=36.0, major_step=10.0, intermediate_step=5.0, minor_step=0.5
            ),
            "sectors": (),
        }
    )
    marks = graduations_of(face)
    assert [m.value for m in marks if m.rank is Rank.MAJOR] == [1.0, 10.0, 100.0, 1000.0]
    assert [m.value for m in marks if m.rank is Rank.INTERMEDIATE] == [5.0, 50.0, 500.0]
    spacing = [b.dial_deg - a.dial_deg for a, b in pairwise(marks)]
    # 0.89 mm at 710 mm, at the inner ends of minor graduations
    assert min(spacing) * math.pi / 180.0 * (36.0 - 2.6) >= 0.89 * 700.0 / 710.0
    minor = {m.value for m in marks if m.rank is Rank.MINOR}
    assert {1.5, 2.0, 2.5, 6.0} <= minor


def test_thinning_leaves_round_steps() -> None:
    face = RUDDER.model_copy(
        update={
            "scale": PowerScale(exponent=0.3, low_value=0.0, high_value=100.0),
            "graduations": Graduations(outer_radius_mm=30.0, major_step=10.0, minor_step=1.0),
            "sectors": (),
        }
    )
    values = [m.value for m in graduations_of(face)]
    assert [v for v in values if v <= 10.0] == [float(n) for n in range(11)]
    assert [v for v in values if 90.0 <= v] == [90.0, 95.0, 100.0]


def test_a_second_scale_is_converted_exactly() -> None:
    # 1 kn = 1.852 km/h, exactly (the international nautical mile)
    second = SecondScale(factor=1.852, graduations=Graduations(outer_radius_mm=28.0, major_step=1.852))
    face = RUDDER.model_copy(
        update={
            "scale": LinearScale(low_value=0.0, high_value=40.0, low_deg=-120.0, high_deg=120.0),
            "graduations": Graduations(outer_radius_mm=36.0, major_step=1.0),
            "second": second,
        }
    )
    first, other = (graduations_on(ring, face) for ring in rings_of(face))
    assert [m.dial_deg for m in first] == [m.dial_deg for m in other]
    assert len(first) == 41


def test_a_second_scale_with_an_offset() -> None:
    # °F = 1.8 °C + 32
    second = SecondScale(
        factor=1.8, offset=32.0, graduations=Graduations(outer_radius_mm=28.0, major_step=20)
    )
    face = RUDDER.model_copy(
        update={
            "scale": LinearScale(low_value=-10.0, high_value=110.0, low_deg=-120.0, high_deg=120.0),
            "second": second,
        }
    )
    marks = {m.value: m.dial_deg for m in graduations_on(rings_of(face)[1], face)}
    assert min(marks) == 20.0
    assert marks[100.0] == pytest.approx(-120.0 + 2.0 * (340.0 / 9.0 + 10.0))


def test_a_break_has_no_graduations_inside_it() -> None:
    face = RUDDER.model_copy(update={"breaks": (ScaleBreak(low_value=-20.0, high_value=-10.0),)})
    values = [m.value for m in graduations_of(face)]
    assert not [v for v in values if -20.0 < v < -10.0]
    assert {-20.0, -10.0} <= set(values)
    parts = [e.part for e in lay_out_face(face, name="f", title="F").elements]
    assert parts.count("graduations.base_arc") == 2
    assert parts.count("graduations.break") == 2


def test_a_compass_and_a_multi_turn_dial_are_graduated_once_round() -> None:
    compass = RUDDER.model_copy(
        update={"scale": CircularScale(), "graduations": Graduations(outer_radius_mm=36.0, major_step=30.0)}
    )
    assert len(graduations_of(compass)) == 12
    tank = RUDDER.model_copy(
        update={"scale": MultiTurnScale(), "graduations": Graduations(outer_radius_mm=36.0, major_step=100.0)}
    )
    assert [n.text for n in numerals_of(tank)] == [f"{100 * n}" for n in range(10)]


@pytest.mark.parametrize(
    ("low", "high", "span", "steps"),
    [
        (0.0, 100.0, 270.0, (10.0, 5.0, 1.0)),
        (0.0, 400.0, 240.0, (50.0, 10.0, 5.0)),
        (-35.0, 35.0, 210.0, (10.0, 5.0, 1.0)),
        (0.0, 1.0, 100.0, (0.5, 0.1, 0.05)),
        (0.0, 7.0, 270.0, (1.0, 0.5, 0.1)),
    ],
)
def test_steps_are_chosen_as_1_2_5(low: float, high: float, span: float, steps: tuple[float, ...]) -> None:
    face = RUDDER.model_copy(
        update={
            "scale": LinearScale(low_value=low, high_value=high, low_deg=-span / 2.0, high_deg=span / 2.0),
            "graduations": Graduations(outer_radius_mm=36.0, major_step=1e-3, automatic=True),
        }
    )
    chosen = steps_of(rings_of(face)[0])
    assert (chosen.major, chosen.intermediate, chosen.minor) == steps


@pytest.mark.parametrize(
    ("low", "high", "texts"),
    [
        (0.1, 1e4, ["0.1", "1", "10", "100", "1000", "10000"]),
        (1.0, 100.0, ["1", "5", "10", "50", "100"]),
        (0.2, 0.9, ["0.2", "0.3", "0.4", "0.5", "0.6", "0.7", "0.8", "0.9"]),
    ],
)
def test_decades_are_numbered_as_finely_as_there_is_room(low: float, high: float, texts: list[str]) -> None:
    face = RUDDER.model_copy(
        update={
            "scale": LogarithmicScale(low_value=low, high_value=high, low_deg=-135.0, high_deg=135.0),
            "graduations": Graduations(outer_radius_mm=36.0, major_step=1.0, automatic=True),
        }
    )
    assert [n.text for n in numerals_of(face)] == texts


def test_figures_of_decades_have_the_decimals_they_need() -> None:
    face = RUDDER.model_copy(
        update={
            "scale": LogarithmicScale(low_value=0.1, high_value=100.0),
            "graduations": Graduations(outer_radius_mm=36.0, major_step=10.0),
            "numerals": Numerals(radius_mm=26.5, height_mm=4.5, decimals=1),
        }
    )
    assert [n.text for n in numerals_of(face)] == ["0.1", "1", "10", "100"]


def test_many_turns_are_numbered_from_zero_on() -> None:
    from_below = RUDDER.model_copy(
        update={
            "scale": MultiTurnScale(low_value=-2500.0, high_value=7500.0),
            "graduations": Graduations(outer_radius_mm=36.0, major_step=100.0),
        }
    )
    numerals = numerals_of(from_below)
    assert [n.text for n in numerals] == [f"{100 * n}" for n in range(10)]
    # two and a half turns on from the lowest value
    assert numerals[0].dial_deg == pytest.approx(900.0)


def test_inner_ends_can_lie_on_one_circle() -> None:
    rings = RUDDER.graduations.model_copy(update={"aligned": Ends.INNER})
    face = RUDDER.model_copy(update={"graduations": rings})
    for element in lay_out_face(face, name="f", title="F").elements:
        if element.part.startswith("graduations.m"):
            assert isinstance(element, Line)
            assert math.hypot(*element.end_mm) == pytest.approx(31.0)
