"""The four-bar against a textbook example, closed forms and a symbolic solution of its loop."""

from __future__ import annotations

import math

import numpy as np
import pytest
import sympy
from hypothesis import assume, given
from hypothesis import strategies as st

from gaugecore.movement.four_bar import FourBar

# A worked example of a machine-design textbook, from memory: ground 100, crank 40, link 120, arm 80 mm,
# crank at 40°: arm at 57.33° (open) and -98.01° (crossed).
TEXTBOOK = FourBar(ground_mm=100.0, crank_mm=40.0, link_mm=120.0, arm_mm=80.0)
CROSSED = FourBar(ground_mm=100.0, crank_mm=40.0, link_mm=120.0, arm_mm=80.0, crossed=True)


def test_the_textbook_example_comes_out() -> None:
    assert TEXTBOOK.arm_deg(40.0) == pytest.approx(57.33, abs=0.01)
    assert CROSSED.arm_deg(40.0) == pytest.approx(-98.01, abs=0.01)


def test_a_symbolic_solution_of_the_loop_gives_the_same_angles_and_speeds() -> None:
    # sympy solves crank + link = ground + arm for the end of the arm, independently of our formulas
    x, y, crank = sympy.symbols("x y crank", real=True)
    ground_mm, crank_mm, link_mm, arm_mm = 100, 40, 120, 80
    at = {crank: sympy.Rational(2, 9) * sympy.pi}  # 40°
    end = (crank_mm * sympy.cos(crank), crank_mm * sympy.sin(crank))
    loop = [
        (x - end[0]) ** 2 + (y - end[1]) ** 2 - link_mm**2,
        (x - ground_mm) ** 2 + y**2 - arm_mm**2,
    ]
    solved = sympy.solve([equation.subs(at).evalf(30) for equation in loop], [x, y], dict=True)
    angles = sorted(math.degrees(math.atan2(s[y], s[x] - ground_mm)) for s in solved)
    ours = sorted([TEXTBOOK.arm_deg(40.0), CROSSED.arm_deg(40.0)])  # type: ignore[type-var]
    assert ours == pytest.approx(angles, abs=1e-9)
    # the speed by implicit differentiation of the loop, arm angle as the unknown
    arm = sympy.symbols("arm", real=True)
    constraint = loop[0].subs({x: ground_mm + arm_mm * sympy.cos(arm), y: arm_mm * sympy.sin(arm)})
    slope = -sympy.diff(constraint, crank) / sympy.diff(constraint, arm)
    for bar in (TEXTBOOK, CROSSED):
        here = {**at, arm: math.radians(bar.arm_deg(40.0) or 0.0)}
        assert bar.velocity_ratio(40.0) == pytest.approx(float(slope.subs(here).evalf()), rel=1e-9)


def test_a_parallelogram_turns_its_arm_as_its_crank() -> None:
    # closed form: opposite sides equal
    bar = FourBar(ground_mm=40.0, crank_mm=12.0, link_mm=40.0, arm_mm=12.0)
    for deg in (20.0, 60.0, 90.0, 150.0):
        assert bar.arm_deg(deg) == pytest.approx(deg)
        assert bar.velocity_ratio(deg) == pytest.approx(1.0)
        assert bar.transmission_deg(deg) == pytest.approx(deg)


def test_toggle_limits_are_where_link_and_arm_lie_in_one_line() -> None:
    bar = FourBar(ground_mm=40.0, crank_mm=20.0, link_mm=40.0, arm_mm=10.0)
    low_deg, high_deg = bar.crank_limits_deg(90.0) or (0.0, 0.0)
    # closed form by the cosine rule: diagonal 30 and 50 mm
    assert low_deg == pytest.approx(math.degrees(math.acos((1600 + 400 - 900) / 1600)))
    assert high_deg == pytest.approx(math.degrees(math.acos((1600 + 400 - 2500) / 1600)))
    assert bar.transmission_deg(low_deg + 1e-9) == pytest.approx(0.0, abs=1e-3)
    assert bar.arm_deg(low_deg - 0.1) is None
    assert bar.arm_deg(high_deg + 0.1) is None
    assert bar.turn_deg(90.0, high_deg + 5.0) is None


def test_a_crank_that_goes_round_has_no_limits() -> None:
    # Grashof: shortest and longest together below the other two
    assert FourBar(ground_mm=100.0, crank_mm=20.0, link_mm=90.0, arm_mm=60.0).crank_limits_deg(30.0) is None


lengths = st.floats(5.0, 100.0)


@given(lengths, lengths, lengths, lengths, st.floats(1.0, 179.0), st.booleans())
def test_the_loop_closes_and_freudensteins_equation_holds(
    ground: float, crank: float, link: float, arm: float, deg: float, crossed: bool
) -> None:
    bar = FourBar(ground_mm=ground, crank_mm=crank, link_mm=link, arm_mm=arm, crossed=crossed)
    arm_deg = bar.arm_deg(deg)
    assume(arm_deg is not None)
    assert arm_deg is not None
    a, b = math.radians(deg), math.radians(arm_deg)
    # Freudenstein: K1 cos(arm) - K2 cos(crank) + K3 = cos(crank - arm) (textbook, from memory)
    k1, k2 = ground / crank, ground / arm
    k3 = (ground**2 + crank**2 - link**2 + arm**2) / (2.0 * crank * arm)
    assert k1 * math.cos(b) - k2 * math.cos(a) + k3 == pytest.approx(
        math.cos(a - b), abs=1e-6 * max(1.0, k1, k2)
    )


@given(st.floats(20.0, 160.0))
def test_the_velocity_ratio_is_the_slope_of_the_map(deg: float) -> None:
    bar = FourBar(ground_mm=36.0, crank_mm=7.0, link_mm=36.3, arm_mm=12.0)
    turned = bar.turn_deg(deg - 0.005, deg + 0.005)
    assert turned is not None
    assert bar.velocity_ratio(deg) == pytest.approx(turned / 0.01, abs=1e-6)


def test_the_turn_runs_on_past_half_a_circle() -> None:
    bar = FourBar(ground_mm=10.0, crank_mm=30.0, link_mm=25.0, arm_mm=25.0)  # a drag link: both go round
    turned = bar.turn_deg(60.0, 60.0 + 720.0)
    assert turned == pytest.approx(720.0, abs=1e-6)
    assert np.isfinite(turned)
