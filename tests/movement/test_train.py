"""Trains: sense, ratio, reach, inverse, and what cannot be assembled."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from gaugecore.movement.reach import movement_deg, reach, used_travel_deg
from gaugecore.movement.servo import Servo
from gaugecore.movement.train import (
    CrankLink,
    Direct,
    GearPair,
    Train,
    pointer_deg,
    slack_at_pointer_deg,
    slope,
)

LINK = CrankLink(ground_mm=36.0, crank_mm=7.0, link_mm=36.3, arm_mm=12.0)


def test_gears_turn_round_and_an_idler_turns_back() -> None:
    # closed form: the turns are as the teeth, the sense changes at each mesh
    pair = GearPair(ratio=1.5, movement_teeth=27, pointer_teeth=18)
    assert pointer_deg(pair, 40.0) == -60.0
    assert pointer_deg(pair.model_copy(update={"idler": True}), 40.0) == 60.0
    assert slope(pair, 10.0) == -1.5
    assert reach(pair, 180.0).span_deg == 270.0


@given(st.floats(-59.0, 59.0), st.sampled_from([Direct(), GearPair(ratio=0.7), LINK]))
def test_the_inverse_gives_back_the_movement(deg: float, train: Direct | GearPair | CrankLink) -> None:
    turned = pointer_deg(train, deg)
    assert turned is not None
    assert movement_deg(train, turned, 120.0) == pytest.approx(deg, abs=1e-6)


def test_what_is_out_of_reach_has_no_inverse() -> None:
    assert movement_deg(GearPair(ratio=1.5), 200.0, 180.0) is None
    assert movement_deg(LINK, 100.0, 120.0) is None


def test_a_link_reaches_only_as_far_as_the_pointer_runs_one_way() -> None:
    jamming = CrankLink(ground_mm=40.0, crank_mm=20.0, link_mm=40.0, arm_mm=10.0)
    reached = reach(jamming, 180.0)
    assert not reached.whole
    assert reached.most_slope > 3.0
    assert reach(LINK, 120.0).whole


def test_slack_of_a_link_grows_as_it_leaves_the_square() -> None:
    # play 0.2 mm across a 12 mm arm at about a right angle is 0.955° (closed form)
    assert slack_at_pointer_deg(LINK) == pytest.approx(0.955, abs=0.01)
    assert LINK.linkage.slack_deg(30.0, 0.2) > LINK.linkage.slack_deg(90.0, 0.2)


def test_travel_that_an_arc_takes() -> None:
    assert used_travel_deg(GearPair(ratio=0.5), 180.0, 60.0) == 120.0
    assert used_travel_deg(Direct(), 180.0, 270.0) == 180.0


def test_older_panels_load_with_the_new_fields_left_out() -> None:
    train = TypeAdapter(Train).validate_json('{"kind": "gear_pair", "ratio": 1.5, "slack_deg": 0.5}')
    assert train == GearPair(ratio=1.5)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        (
            {"ground_mm": 100.0, "crank_mm": 10.0, "link_mm": 20.0, "arm_mm": 10.0},
            "cannot be assembled: ground_mm 100 mm is not shorter than the other three together, 40 mm",
        ),
        (
            {"ground_mm": 40.0, "crank_mm": 20.0, "link_mm": 40.0, "arm_mm": 10.0, "crank_deg": 170.0},
            "cannot be assembled with the crank at 170°: its end is then 59.8 mm from the pointer's shaft, "
            "and link and arm span 30 mm to 50 mm",
        ),
        ({"ground_mm": 40.0, "crank_mm": 0.0, "link_mm": 40.0, "arm_mm": 10.0}, "crank_mm"),
        ({"ground_mm": 40.0, "crank_mm": 5.0, "link_mm": 40.0, "arm_mm": -10.0}, "arm_mm"),
    ],
)
def test_a_four_bar_that_cannot_be_assembled_is_refused(fields: dict[str, float], says: str) -> None:
    with pytest.raises(ValidationError, match=says):
        CrankLink(**fields)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        (
            {"ratio": 2.0, "movement_teeth": 27, "pointer_teeth": 18},
            "ratio 2 is not what 27 teeth .* make, which is 1.5",
        ),
        ({"ratio": 1.5, "movement_teeth": 27}, "movement_teeth and pointer_teeth go together"),
        ({"ratio": 0.0}, "ratio"),
        ({"ratio": 1.0, "module_mm": 0.0}, "module_mm"),
    ],
)
def test_gears_that_contradict_themselves_are_refused(fields: dict[str, float], says: str) -> None:
    with pytest.raises(ValidationError, match=says):
        GearPair(**fields)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"travel_deg": 0.0}, "travel_deg"),
        (
            {"pulse_min_us": 2000.0, "pulse_max_us": 1000.0},
            "pulse_min_us 2000 must be below pulse_max_us 1000",
        ),
        ({"torque_mnm": -1.0}, "torque_mnm"),
        ({"seconds_per_60_deg": 0.0}, "seconds_per_60_deg"),
    ],
)
def test_a_servo_without_travel_or_strength_is_refused(fields: dict[str, float], says: str) -> None:
    with pytest.raises(ValidationError, match=says):
        Servo(**fields)  # type: ignore[arg-type]
