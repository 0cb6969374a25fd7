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


def test_friction_is_named_with_a_remedy_against_friction() -> None:
    rubbing = POINTER.model_copy(update={"friction_mnm": 5.0})
    found = by_rule(Stepper(), pointer=rubbing)["torque-margin"]
    assert found.severity is Severity.FAULT
    assert found.place == "pointer.friction_mnm"
    assert "mostly for its friction" in found.message
    assert found.remedy.startswith(
        "Less friction than 5 mN·m: a freer bearing; or a movement or train with 10 "
    )
    assert "counterweight" not in found.remedy
    # 1 mN·m at rest, a third of it at top speed (the stepper's own assumption)
    assert found.measured.startswith("0.333 mN·m for a load of 5.01 mN·m (unbalance 0.00682, friction 5)")


def test_where_both_are_too_much_both_are_named() -> None:
    heavy = Pointer(
        length_mm=100.0, thickness_mm=5.0, density_kg_m3=7850.0, blade_width_mm=6.0, friction_mnm=3.0
    )
    remedy = by_rule(Stepper(), pointer=heavy)["torque-margin"].remedy
    assert remedy.startswith("A counterweight of")
    assert "and less friction than 3 mN·m" in remedy


def test_a_tail_that_is_too_heavy_gets_no_counterweight() -> None:
    tail = Pointer(length_mm=25.0, counterweight_g=20.0, counterweight_at_mm=20.0)
    remedy = by_rule(Stepper(), pointer=tail)["torque-margin"].remedy
    assert remedy.startswith("20 g less 20 mm behind the pivot, where it is too heavy")


def test_a_slow_needle_says_what_makes_it_slow() -> None:
    assert "top speed of 60°/s" in by_rule(Servo(seconds_per_60_deg=1.0))["slow-needle"].message
    flywheel = Pointer(
        length_mm=400.0, tail_mm=400.0, thickness_mm=10.0, blade_width_mm=7.0, tail_width_mm=7.0,
        density_kg_m3=7850.0,
    )  # fmt: skip
    slow = by_rule(GENERIC["gauge-stepper-315"], pointer=flywheel, tilt_deg=0.0)["slow-needle"]
    assert "the needle's inertia of" in slow.message
    sluggish = Stepper(inertia_gmm2=1e6)
    assert "the movement's own inertia" in by_rule(sluggish)["slow-needle"].message


def test_no_train_is_proposed_that_cannot_turn_the_needle() -> None:
    rubbing = POINTER.model_copy(update={"friction_mnm": 5.0})
    look = outlook(Stepper(), Direct(), rubbing, arc_deg=150.0)
    assert look.proposals == ()
    assert propose(Stepper(), arc_deg=150.0) != ()
    assert look.torque_words == "0.333 mN·m at the needle, 0.0666 times the load"
    # turned down far enough the same movement carries it
    slow = outlook(Stepper(), Direct(), POINTER.model_copy(update={"friction_mnm": 0.4}), arc_deg=150.0)
    assert {p.train.kind for p in slow.proposals} == {"gear_pair"}
    out_of_reach = by_rule(Stepper(travel_deg=100.0), pointer=rubbing)["arc-out-of-reach"]
    assert "would reach, but not turn the needle" in out_of_reach.remedy


def test_a_margin_has_three_digits_and_says_when_friction_is_not_given() -> None:
    look = outlook(Servo(), Direct(), POINTER, arc_deg=150.0)
    assert look.torque_words == (
        "75 mN·m at the needle, more than 1000 times the load; friction is not given and not in it"
    )
    given = outlook(Servo(), Direct(), POINTER.model_copy(update={"friction_mnm": 7.0}), arc_deg=150.0)
    assert given.torque_words == "75 mN·m at the needle, 10.7 times the load"
    strong = outlook(Servo(torque_mnm=2468.0), Direct(), POINTER, arc_deg=150.0)
    assert strong.torque_words.startswith("1230 mN·m at the needle")


def test_the_counterweight_and_the_tail_that_are_said_balance_the_needle() -> None:
    look = outlook(Servo(), Direct(), POINTER, arc_deg=150.0)
    weight_g, at_mm = look.counterweight_g, look.counterweight_at_mm
    assert (
        look.balance_words
        == f"balanced by {weight_g:.3g} g {at_mm:.1f} mm behind the pivot, or a tail of 16.6 mm"
    )
    weighted = POINTER.model_copy(update={"counterweight_g": weight_g, "counterweight_at_mm": at_mm})
    assert outlook(Servo(), Direct(), weighted, arc_deg=150.0).balance_words == "in balance"
    # moment balance: the weight's moment is the needle's own
    assert weight_g * at_mm == pytest.approx(look.mass.unbalance_gmm)
    tail = POINTER.model_copy(update={"tail_mm": 24.0})
    assert "g less" in outlook(Servo(), Direct(), tail, arc_deg=150.0).balance_words


@pytest.mark.parametrize(
    ("microsteps", "percent"), [(1, 100.0), (2, 70.71), (4, 38.27), (8, 19.51), (16, 9.80), (32, 4.91)]
)
def test_the_microstep_torque_stands_beside_the_friction(microsteps: int, percent: float) -> None:
    # incremental torque by microsteps a step: table of a technical note on microstepping
    stepper = Stepper(torque_mnm=100.0, microsteps=microsteps)
    assert outlook(stepper, Direct(), POINTER, arc_deg=150.0).microstep_torque_mnm == pytest.approx(
        percent, abs=0.005
    )
    # through a gear that turns the needle twice as far half of it arrives
    geared = outlook(stepper, GearPair(ratio=2.0), POINTER, arc_deg=150.0)
    assert geared.microstep_torque_mnm == pytest.approx(percent / 2.0, abs=0.005)
    assert outlook(Servo(), Direct(), POINTER, arc_deg=150.0).microstep_torque_mnm is None


def test_swallowed_microsteps_are_laid_on_the_larger_share() -> None:
    rubbing = POINTER.model_copy(update={"friction_mnm": 0.05})
    assert by_rule(Stepper(microsteps=64), pointer=rubbing)["microsteps-swallowed"].remedy.startswith(
        "Less friction, or count on"
    )
    heavy = POINTER.model_copy(update={"density_kg_m3": 8000.0})
    assert by_rule(Stepper(microsteps=128), pointer=heavy)["microsteps-swallowed"].remedy.startswith(
        "Balance the needle, or count on"
    )


def test_a_change_point_is_said_in_words_and_degrees_that_can_be_kept() -> None:
    # opposite bars equal: at 0° and 180° all four lie in one line (closed form)
    kite = CrankLink(ground_mm=40.0, crank_mm=12.0, link_mm=40.0, arm_mm=12.0)
    found = by_rule(Servo(), kite)["link-jams"]
    assert "a change point: from there the needle may turn either way" in found.message
    assert found.measured == "the crank turns 0° to 180°"
    assert found.wanted == "10° to 170°, 10° short of that line"
    assert "link-jams" not in by_rule(Servo(travel_deg=160.0), kite)


@pytest.mark.parametrize("arc_deg", [20.0, 40.0, 60.0, 80.0])
def test_a_proposed_link_has_no_fault_and_no_bad_angle_when_it_is_taken_over(arc_deg: float) -> None:
    (link,) = [p.train for p in propose(Servo(), arc_deg=arc_deg) if isinstance(p.train, CrankLink)]
    assert not {"link-jams", "link-at-a-bad-angle", "slow-needle"} & set(
        by_rule(Servo(), link, arc_deg=arc_deg)
    )


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
