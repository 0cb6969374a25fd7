"""Every kind of scale by closed form, and each inverse to 1e-9 of the range."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from gaugecore.errors import DesignError
from gaugecore.face.scale import (
    AnyScale,
    CircularScale,
    LinearScale,
    LogarithmicScale,
    MultiTurnScale,
    PiecewiseScale,
    PowerScale,
    TableScale,
    angle_deg,
    angle_range_deg,
    angles_deg,
    drawn_range,
    slow_angle_deg,
    value_at,
    value_range,
)

SCALES: dict[str, AnyScale] = {
    "linear": LinearScale(low_value=-35.0, high_value=35.0, low_deg=-105.0, high_deg=105.0),
    "counter-clockwise": LinearScale(low_value=0.0, high_value=4.0, low_deg=200.0, high_deg=-70.0),
    "piecewise": PiecewiseScale(points=((0.0, -135.0), (200.0, -45.0), (600.0, 45.0), (1400.0, 135.0))),
    "logarithmic": LogarithmicScale(low_value=0.1, high_value=1000.0),
    "logarithmic back": LogarithmicScale(low_value=1.0, high_value=10.0, low_deg=120.0, high_deg=-120.0),
    "square root": PowerScale(exponent=0.5, low_value=20.0, high_value=180.0),
    "square": PowerScale(exponent=2.0),
    "table": TableScale(points=((0.0, -120.0), (10.0, -100.0), (50.0, 30.0), (55.0, 31.0), (100.0, 120.0))),
    "table back": TableScale(points=((0.0, 120.0), (10.0, 100.0), (100.0, -120.0))),
    "circular": CircularScale(low_deg=30.0),
    "multi-turn": MultiTurnScale(),
}


@pytest.mark.parametrize("name", SCALES)
# nearer the end of a power scale, doubles themselves are coarser
@settings(deadline=None)  # the first one imports scipy
@given(share=st.floats(0.001, 0.999))
def test_the_inverse_comes_back_to_1e_9(name: str, share: float) -> None:
    scale = SCALES[name]
    low_deg, high_deg = angle_range_deg(scale)
    dial_deg = low_deg + share * (high_deg - low_deg)
    value = value_at(scale, dial_deg)
    assert angle_deg(scale, value) == pytest.approx(dial_deg, abs=1e-9 * (high_deg - low_deg))


@pytest.mark.parametrize("name", SCALES)
def test_both_ends_are_exact_and_the_way_is_monotone(name: str) -> None:
    scale = SCALES[name]
    low, high = value_range(scale)
    (_, low_deg), (_, high_deg) = scale.points[0], scale.points[-1]
    assert (angle_deg(scale, low), angle_deg(scale, high)) == (low_deg, high_deg)
    assert (value_at(scale, low_deg), value_at(scale, high_deg)) == pytest.approx((low, high), rel=1e-12)
    way = np.diff(angles_deg(scale, np.linspace(low, high, 500)))
    assert np.all(way > 0.0) or np.all(way < 0.0)


def test_logarithmic_by_closed_form() -> None:
    scale = LogarithmicScale(low_value=1.0, high_value=100.0, low_deg=-120.0, high_deg=120.0)
    for value in (1.0, 2.0, 5.0, 10.0, 37.0, 100.0):
        assert angle_deg(scale, value) == pytest.approx(-120.0 + 120.0 * math.log10(value), abs=1e-12)


def test_square_root_by_closed_form() -> None:
    scale = PowerScale(exponent=0.5, low_value=0.0, high_value=100.0, low_deg=0.0, high_deg=270.0)
    for value in (0.0, 1.0, 25.0, 64.0, 100.0):
        assert angle_deg(scale, value) == pytest.approx(27.0 * math.sqrt(value), abs=1e-12)


def test_a_table_scale_passes_through_its_points() -> None:
    scale = SCALES["table"]
    for value, deg in scale.points:
        assert angle_deg(scale, value) == pytest.approx(deg, abs=1e-12)


def test_a_compass_wraps() -> None:
    compass = CircularScale()
    assert angle_deg(compass, 370.0) == pytest.approx(10.0)
    assert angle_deg(compass, -90.0) == pytest.approx(270.0)
    assert value_at(compass, 725.0) == pytest.approx(5.0)
    assert angle_deg(CircularScale(clockwise=False), 90.0) == pytest.approx(-90.0)


def test_ten_turns_and_a_slow_pointer_geared_in_the_scale() -> None:
    tank = MultiTurnScale(slow_pointer_ratio=10.0)
    assert angle_deg(tank, 10_000.0) == 3600.0
    assert drawn_range(tank) == (0.0, 1000.0)
    for value in (0.0, 1234.0, 9999.0):
        slow = slow_angle_deg(tank, value)
        assert slow is not None
        assert slow * 10.0 == pytest.approx(angle_deg(tank, value))
    assert slow_angle_deg(MultiTurnScale(), 100.0) is None
    # at nothing both stand at the 0, which is a turn on from the lowest value
    from_below = MultiTurnScale(low_value=-1000.0, high_value=9000.0, slow_pointer_ratio=10.0)
    assert slow_angle_deg(from_below, 0.0) == angle_deg(from_below, 0.0) == 360.0
    assert slow_angle_deg(from_below, 1000.0) == 396.0


@pytest.mark.parametrize("name", [n for n in SCALES if n != "circular"])
def test_nothing_is_extrapolated(name: str) -> None:
    scale = SCALES[name]
    low, high = value_range(scale)
    low_deg, high_deg = angle_range_deg(scale)
    for value in (low - 1.0, high + 1.0):
        with pytest.raises(DesignError, match="a value lies outside the scale"):
            angle_deg(scale, value)
    for deg in (low_deg - 1.0, high_deg + 1.0):
        with pytest.raises(DesignError, match="a dial angle lies outside the scale"):
            value_at(scale, deg)
    assert set(angles_deg(scale, [low - 1.0, high + 1.0])) == {low_deg, high_deg}


@pytest.mark.parametrize(
    ("build", "said"),
    [
        (lambda: LogarithmicScale(low_value=0.0), "greater than 0"),
        (lambda: LogarithmicScale(low_value=5.0, high_value=5.0), "values must rise"),
        (lambda: PowerScale(low_deg=10.0, high_deg=10.0), "share the dial angle"),
        (lambda: PowerScale(low_deg=0.0, high_deg=400.0), "single-turn dial has at most 360"),
        (lambda: TableScale(points=((0.0, 0.0), (1.0, 50.0), (2.0, 40.0))), "turn round at 1"),
        (lambda: CircularScale(low_value=10.0, high_value=5.0), "values must rise"),
        (lambda: MultiTurnScale(value_per_turn=10.0), "at most 100 turns"),
        (lambda: LinearScale(low_value=0.0, high_value=1.0, low_deg=-200.0, high_deg=200.0), "spans 400"),
    ],
)
def test_contradictory_scales_are_refused(build: object, said: str) -> None:
    with pytest.raises(ValidationError, match=said):
        build()  # type: ignore[operator]
