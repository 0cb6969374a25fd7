"""What the check says of movements, and the trains it proposes."""

from __future__ import annotations

import pytest

from gaugecore.findings import Finding, Severity
from gaugecore.movement.library import GENERIC
from gaugecore.movement.outlook import outlook
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.propose import LINK_TRAVEL_DEG, propose
from gaugecore.movement.reach import reach
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.suitability import check_movement
from gaugecore.movement.train import CrankLink, Direct, GearPair

POINTER = Pointer(length_mm=25.0)


def by_rule(
    movement: Servo | Stepper, train: object = None, pointer: Pointer = POINTER, **more: float
) -> dict[str, Finding]:
    arc_deg = more.pop("arc_deg", 150.0)
    found = check_movement(movement, train or Direct(), pointer, arc_deg=arc_deg, **more)  # type: ignore[arg-type]
    return {finding.rule: finding for finding in found}


def test_a_short_movement_is_a_fault_with_a_gear_as_remedy() -> None:
    found = by_rule(Servo(dead_band_us=3.0), arc_deg=270.0)["arc-out-of-reach"]
    assert found.severity is Severity.FAULT
    assert found.place == "movement.travel_deg"
    assert (found.measured, found.wanted) == ("180.0°", "270.0°")
    assert found.remedy.startswith(
        "Gear 1.5:1 (27 and 18 teeth) from the same servo gives 270° at 0.45° resolution"
    )


def test_the_proposed_gear_cures_the_fault() -> None:
    gear = propose(Servo(), arc_deg=270.0)[0].train
    assert "arc-out-of-reach" not in by_rule(Servo(), gear, arc_deg=270.0)


@pytest.mark.parametrize("arc_deg", [40.0, 90.0, 168.0, 240.0, 270.0, 330.0])
@pytest.mark.parametrize("movement", [GENERIC["servo-9g-digital"], GENERIC["gauge-stepper-315"]])
def test_every_proposal_reaches_and_needs_no_undercut(movement: Servo | Stepper, arc_deg: float) -> None:
    proposals = propose(movement, arc_deg=arc_deg)
    assert proposals
    for proposal in proposals:
        train = proposal.train
        travel_deg = movement.travel_deg
        if isinstance(train, CrankLink):
            travel_deg = min(travel_deg, LINK_TRAVEL_DEG)
        assert reach(train, travel_deg).span_deg >= arc_deg * (1.0 - 1e-9)
        if isinstance(train, GearPair):
            assert min(train.movement_teeth or 0, train.pointer_teeth or 0) >= 18
    errors = [proposal.expected_deg for proposal in proposals]
    assert errors == sorted(errors)


def test_a_small_arc_gets_a_link_and_a_reducing_gear() -> None:
    kinds = {proposal.train.kind for proposal in propose(Servo(), arc_deg=60.0)}
    assert kinds == {"direct", "gear_pair", "crank_link"}


def test_unused_travel_is_noted_when_a_gear_would_point_finer() -> None:
    coarse = Servo(dead_band_us=20.0, slack_deg=2.0)
    found = by_rule(coarse, arc_deg=60.0)["travel-unused"]
    assert found.severity is Severity.NOTE
    assert "Gear 0.333:1" in found.remedy
    assert "travel-unused" not in by_rule(Servo(), arc_deg=175.0)


def test_a_link_that_jams_is_a_fault_and_one_that_turns_back_a_caution() -> None:
    jams = CrankLink(ground_mm=40.0, crank_mm=20.0, link_mm=40.0, arm_mm=10.0)
    assert by_rule(Servo(), jams)["link-jams"].severity is Severity.FAULT
    turns_back = CrankLink(ground_mm=36.0, crank_mm=7.0, link_mm=36.3, arm_mm=12.0)
    found = by_rule(Servo(travel_deg=200.0), turns_back, arc_deg=50.0)
    assert found["link-turns-back"].severity is Severity.CAUTION
    assert "link-jams" not in found
    assert "link-turns-back" not in by_rule(Servo(travel_deg=120.0), turns_back, arc_deg=50.0)


def test_a_needle_too_heavy_is_a_fault_with_a_counterweight_as_remedy() -> None:
    heavy = Pointer(length_mm=100.0, thickness_mm=5.0, density_kg_m3=7850.0, blade_width_mm=6.0)
    found = by_rule(Stepper(), pointer=heavy)["torque-margin"]
    assert found.severity is Severity.FAULT
    assert "counterweight of" in found.remedy
    assert "torque-margin" not in by_rule(Stepper(), pointer=heavy, tilt_deg=0.0)
    assert "torque-margin" not in by_rule(Stepper())


def test_steppers_have_findings_of_their_own() -> None:
    assert by_rule(Stepper(has_stop=False))["no-home"].severity is Severity.CAUTION
    rubbing = POINTER.model_copy(update={"friction_mnm": 0.05})
    assert "microsteps-swallowed" in by_rule(Stepper(microsteps=64), pointer=rubbing)
    assert "microsteps-swallowed" not in by_rule(Stepper(microsteps=4), pointer=rubbing)
    flywheel = Pointer(
        length_mm=120.0, tail_mm=120.0, thickness_mm=6.0, blade_width_mm=7.0, tail_width_mm=7.0
    )
    assert "needs-a-ramp" in by_rule(GENERIC["hybrid-42mm"], pointer=flywheel, tilt_deg=0.0)
    assert "needs-a-ramp" not in by_rule(GENERIC["hybrid-42mm"])


def test_a_slow_movement_is_noted() -> None:
    assert "slow-needle" in by_rule(Servo(seconds_per_60_deg=1.0))


def test_typical_figures_are_said_to_be_typical_until_measured() -> None:
    assert by_rule(Servo())["typical-figures"].remedy.startswith("Measure yours")
    assert "typical-figures" not in by_rule(Servo(measured=True))


def test_pointing_worse_than_any_class_is_a_caution() -> None:
    sloppy = Servo(dead_band_us=60.0, slack_deg=20.0)
    assert by_rule(sloppy, arc_deg=60.0)["expected-pointing"].severity is Severity.CAUTION
    assert by_rule(Servo())["expected-pointing"].severity is Severity.NOTE


def test_a_pointer_that_cannot_be_drawn_is_left_to_the_drawing() -> None:
    impossible = Pointer(length_mm=2.0, boss_diameter_mm=8.0)
    assert "torque-margin" not in by_rule(Servo(), pointer=impossible)


@pytest.mark.parametrize("movement", GENERIC.values(), ids=list(GENERIC))
def test_every_finding_says_what_to_do(movement: Servo | Stepper) -> None:
    for arc_deg in (60.0, 270.0):
        for finding in check_movement(movement, Direct(), POINTER, arc_deg=arc_deg):
            assert finding.message
            assert finding.remedy
            assert finding.source
            assert finding.place.split(".")[0] in ("movement", "train", "pointer")


def test_the_outlook_holds_everything_at_once() -> None:
    look = outlook(Servo(), GearPair(ratio=1.5), POINTER, arc_deg=240.0)
    assert look.reached.span_deg == pytest.approx(270.0)
    assert look.start_stop_steps_per_s is None
    assert look.balanced_tail_mm is not None
    assert {f.rule for f in look.findings} >= {"expected-pointing", "typical-figures"}
    assert outlook(Stepper(), Direct(), POINTER, arc_deg=240.0).start_stop_steps_per_s is not None
