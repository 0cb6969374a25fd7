"""Gears: tooth form against handbook figures, and a mesh tried out with a geometry library."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, radians

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon

from gaugecore.drawing.elements import Circle, Operation, Outline
from gaugecore.errors import DesignError
from gaugecore.movement.gear_plate import draw_gears
from gaugecore.movement.gears import Gear, centre_distance_mm, gear_loop, gears_of, involute
from gaugecore.movement.train import CrankLink, Direct, GearPair
from gaugecore.movement.train_picture import picture_train
from gaugecore.movement.undercut import check_teeth, contact_ratio, fewest_teeth

PAIR = GearPair(ratio=1.5, movement_teeth=27, pointer_teeth=18, slack_deg=0.5)


def polygon(gear: Gear, **placed: object) -> Polygon:
    return Polygon([vertex[:2] for vertex in gear_loop(gear, **placed)])  # type: ignore[arg-type]


def test_the_involute_function_is_the_tabulated_one() -> None:
    # gear handbooks (from memory): inv 14.5° = 0.0055448, inv 20° = 0.0149044, inv 25° = 0.0299753
    assert involute(radians(14.5)) == pytest.approx(0.0055448, abs=5e-8)
    assert involute(radians(20.0)) == pytest.approx(0.0149044, abs=5e-8)
    assert involute(radians(25.0)) == pytest.approx(0.0299753, abs=5e-8)


def test_fewest_teeth_without_undercut_are_the_textbook_ones() -> None:
    # 2 / sin² α = 31.9, 17.1, 11.2 (textbook): 32, 18 and 12 teeth
    assert [fewest_teeth(deg) for deg in (14.5, 20.0, 25.0)] == [32, 18, 12]


def test_the_span_over_teeth_is_that_of_the_handbook() -> None:
    # Wildhaber's span over k teeth: W = m cos α (π (k - ½) + z inv α); for z = 27, m = 1, k = 4, 20°: 10.7106
    gear = Gear(teeth=27, module_mm=1.0)
    angle = radians(20.0)
    span_mm = cos(angle) * (pi * 3.5 + 27 * involute(angle))
    assert span_mm == pytest.approx(10.7106, abs=1e-4)
    # measured: the jaws touch opposite flanks along a tangent of the base circle, here horizontal
    body = polygon(gear, turned_deg=0.5 * 360.0 / 27)
    jaws_at = LineString([(-20.0, gear.base_radius_mm), (20.0, gear.base_radius_mm)])
    inside = body.intersection(jaws_at)
    left, _, right, _ = inside.bounds
    assert right - left == pytest.approx(span_mm, abs=0.003)


@pytest.mark.parametrize("movement_deg", np.linspace(0.0, 26.0, 7))
def test_two_gears_in_mesh_never_overlap_and_keep_an_even_gap(movement_deg: float) -> None:
    # conjugate action, tried with shapely: the gap along the line of action is half the slack, by cos α
    driver, driven = gears_of(PAIR)
    at_mm = (centre_distance_mm(PAIR), 0.0)
    first = polygon(driver, turned_deg=-90.0 + movement_deg, centre_mm=at_mm)
    second = polygon(driven, turned_deg=90.0 + 10.0 - 1.5 * movement_deg)
    gap_mm = radians(0.5) * 9.0 / 2.0 * cos(radians(20.0))
    assert first.intersection(second).area == 0.0
    assert first.distance(second) == pytest.approx(gap_mm, abs=0.0015)


def test_the_drawn_slack_is_the_slack_that_was_asked_for() -> None:
    # turned by half the slack either way the driven gear touches, and not before
    driver, driven = gears_of(PAIR)
    fixed = polygon(driver, turned_deg=-90.0, centre_mm=(centre_distance_mm(PAIR), 0.0))
    for sense in (-1.0, 1.0):
        free = polygon(driven, turned_deg=100.0 + sense * 0.245)
        touching = polygon(driven, turned_deg=100.0 + sense * 0.27)
        assert free.intersection(fixed).area == 0.0
        assert touching.intersection(fixed).area > 0.0


@pytest.mark.parametrize("movement_deg", [0.0, 3.3, 11.0])
@pytest.mark.parametrize("train", [PAIR, PAIR.model_copy(update={"idler": True})])
def test_the_picture_shows_gears_in_mesh(train: GearPair, movement_deg: float) -> None:
    gears = [
        Polygon([v[:2] for v in element.loops[0]])
        for element in picture_train(train, movement_deg).elements
        if isinstance(element, Outline)
    ]
    for first, second in pairwise(gears):
        assert first.intersection(second).area < 1e-9
        assert first.distance(second) < 0.08


def test_every_picture_stays_in_its_box() -> None:
    link = CrankLink(ground_mm=36.0, crank_mm=7.0, link_mm=36.3, arm_mm=12.0)
    for train in (Direct(), PAIR, GearPair(ratio=1.5), link):
        for deg in (-60.0, 0.0, 45.0):
            drawing = picture_train(train, deg)
            for element in drawing.elements:
                if isinstance(element, Circle):
                    assert element.centre_mm[0] + element.radius_mm <= drawing.box.right_mm
                    assert element.centre_mm[0] - element.radius_mm >= drawing.box.left_mm


def test_the_contact_ratio_is_that_of_the_textbook_formula() -> None:
    # 20 and 40 teeth at 20°: 1.635 (arithmetic by hand; formula from memory)
    assert contact_ratio(20, 40) == pytest.approx(1.635, abs=2e-3)
    assert contact_ratio(18, 18) > 1.2


def test_the_plate_has_both_gears_with_their_bores_and_no_more_cuts() -> None:
    plate = draw_gears(PAIR, name="gears", title="Rudder", movement_bore_mm=5.0)
    cuts = [e.part for e in plate.elements if e.operation is Operation.CUT]
    assert cuts == [
        "gears.movement.bore",
        "gears.movement.outline",
        "gears.pointer.bore",
        "gears.pointer.outline",
    ]
    with_idler = draw_gears(PAIR.model_copy(update={"idler": True}), name="g", title="R", pointer_bore_mm=0.0)
    assert sum(e.operation is Operation.CUT for e in with_idler.elements) == 4


def test_too_few_teeth_are_a_finding_with_teeth_that_do() -> None:
    (found,) = check_teeth(GearPair(ratio=1.5, movement_teeth=18, pointer_teeth=12))
    assert (found.rule, found.place, found.measured) == ("gear-undercut", "train.pointer_teeth", "12 teeth")
    assert found.remedy.startswith("36 and 24 teeth make the same ratio")
    assert check_teeth(PAIR) == []
    assert check_teeth(GearPair(ratio=1.5)) == []


def test_gears_without_teeth_cannot_be_drawn() -> None:
    with pytest.raises(DesignError, match="the gears cannot be drawn before their teeth are chosen"):
        draw_gears(GearPair(ratio=1.5), name="g", title="t")


def test_more_slack_than_the_teeth_can_give_is_refused() -> None:
    with pytest.raises(
        DesignError, match=r"train\.slack_deg: the slack is more than the teeth can give, found '20°"
    ):
        gears_of(PAIR.model_copy(update={"slack_deg": 20.0}))


def test_pointed_teeth_are_refused() -> None:
    with pytest.raises(DesignError, match="come to a point before they are full height"):
        gear_loop(Gear(teeth=6, module_mm=1.0, pressure_angle_deg=30.0, thinner_mm=0.3))
