"""The pointing budget and the classes it allows."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.movement.pointing import CLASSES, Care, Cause, Pointing, pointing
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.train import Direct, GearPair


def one(half_width_deg: float, arc_deg: float = 270.0) -> Pointing:
    return Pointing(
        causes=(Cause(name="x", half_width_deg=half_width_deg),), arc_deg=arc_deg, resolution_deg=0.1
    )


def test_classes_are_those_of_en_837_1() -> None:
    # EN 837-1:1996 table 11
    assert CLASSES == (0.1, 0.25, 0.6, 1.0, 1.6, 2.5, 4.0)


def test_class_1_6_allows_1_6_percent_of_span() -> None:
    # a gauge test instruction: span 10 bar, class 1.6, ±0.16 bar; here a span of 10 in degrees
    half = 0.16 * math.sqrt(3.0) / 2.0
    assert one(half * 0.9999, 10.0).accuracy_class(Care.NONE) == 1.6
    assert one(half * 1.0001, 10.0).accuracy_class(Care.NONE) == 2.5
    assert one(1.0, 10.0).accuracy_class(Care.NONE) is None


def test_causes_add_as_squares_of_rectangles() -> None:
    # GUM (from memory): a rectangle of half-width a has a standard uncertainty of a/√3
    budget = Pointing(
        causes=(Cause(name="a", half_width_deg=3.0), Cause(name="b", half_width_deg=4.0)),
        arc_deg=100.0,
        resolution_deg=1.0,
    )
    assert budget.expected_deg(Care.NONE) == pytest.approx(2.0 * 5.0 / math.sqrt(3.0))
    assert budget.worst_deg(Care.NONE) == 7.0


def test_the_reference_dead_band_is_0_9_degrees() -> None:
    # arithmetic of the common figure: 10 µs at 1000 µs per 90° is 0.9°
    servo = Servo(pulse_min_us=1000.0, pulse_max_us=2000.0, travel_deg=90.0, dead_band_us=10.0)
    assert pointing(servo, Direct(), arc_deg=90.0).resolution_deg == pytest.approx(0.9)


def test_gearing_up_makes_the_needle_coarser_by_the_ratio() -> None:
    servo = Servo(dead_band_us=3.0)
    assert pointing(servo, GearPair(ratio=1.5), arc_deg=270.0).resolution_deg == pytest.approx(0.45)
    assert pointing(servo, Direct(), arc_deg=180.0).resolution_deg == pytest.approx(0.3)


def test_the_typical_non_linearity_is_of_the_size_of_a_real_servo() -> None:
    # a hobby servo measured with an optical encoder (open text data set): pulse in µs, shaft in degrees
    pulse = np.array([*range(570, 2171, 100), 2240.0])
    shaft = np.array(
        [78.60, 66.00, 57.00, 44.70, 36.45, 26.55, 17.25, 8.55, -0.30, -9.60, -17.55, -26.70, -34.65, -43.20,
         -51.45, -60.60, -69.00, -75.15]
    )  # fmt: skip
    off_deg = np.abs(shaft - np.polyval(np.polyfit(pulse, shaft, 1), pulse)).max()
    assert 0.5 * off_deg < Servo().nonlinearity_deg < 1.5 * off_deg
    assert Servo().us_per_deg == pytest.approx(np.ptp(pulse) / np.ptp(shaft), rel=0.15)


@given(st.floats(0.2, 4.0), st.floats(10.0, 300.0))
def test_more_care_never_points_worse(ratio: float, arc: float) -> None:
    for movement in (Servo(), Stepper()):
        budget = pointing(movement, GearPair(ratio=ratio), arc_deg=arc)
        errors = [budget.expected_deg(care) for care in Care]
        assert errors == sorted(errors, reverse=True)
        assert all(budget.worst_deg(care) >= budget.expected_deg(care) * 0.8 for care in Care)


def test_the_expected_error_agrees_with_simulated_drives() -> None:
    # simulated drives of this kind, best map per direction: median 95 % error 0.54° at 31 readings of 1°
    # resolution, best possible 0.27°; an uncalibrated straight line 2.6°. The budget must lie in that range.
    budget = pointing(Servo(nonlinearity_deg=2.0, slack_deg=0.7), Direct(), arc_deg=180.0)
    assert 0.27 < budget.expected_deg(Care.PER_DIRECTION) < 0.9
    assert 2.0 < budget.expected_deg(Care.NONE) < 3.5
