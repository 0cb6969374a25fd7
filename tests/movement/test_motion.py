"""Limits, microsteps, start-stop rate and the moving movement, against formulas and a general solver."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from gaugecore.movement.drive import STEP_S, ServoDrive, drive_of, played, ramped, smoothed
from gaugecore.movement.mass import Mass, mass_of
from gaugecore.movement.motion import (
    limits,
    microstep_torque_mnm,
    own_inertia_gmm2,
    start_stop_steps_per_s,
    torque_at_mnm,
)
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.reach import reach, used_travel_deg
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.train import CrankLink, Direct, GearPair

POINTER = Pointer(length_mm=25.0)
MASS = mass_of(POINTER)
# Technical note on microstepping: T sin(90°/n) in percent; n = 3, 6, 12 by arithmetic
MICROSTEPS = {
    1: 100.0, 2: 70.71, 4: 38.27, 8: 19.51, 16: 9.80, 32: 4.91, 64: 2.45, 128: 1.23, 256: 0.61,
    3: 50.0, 6: 25.88, 12: 13.05,
}  # fmt: skip


@pytest.mark.parametrize(("n", "percent"), MICROSTEPS.items())
def test_microstep_torque_is_that_of_the_table(n: int, percent: float) -> None:
    assert microstep_torque_mnm(Stepper(torque_mnm=100.0, microsteps=n)) == pytest.approx(percent, abs=0.005)


def test_a_gauge_stepper_makes_945_steps_of_315_degrees() -> None:
    # several public firmware sources: 1/3° a step; another page's 600 steps is a known conflict
    stepper = Stepper()
    assert stepper.travel_deg / stepper.deg_per_step == pytest.approx(945.0)
    # and counts of 1/12° with a step/direction driver: 315 · 12 = 3780
    assert 315.0 / Stepper(microsteps=4).command_step_deg == pytest.approx(3780.0)


def test_a_link_with_opposite_bars_equal_moves_as_no_train_at_all() -> None:
    # closed form: a parallelogram turns its arm as its crank
    link = CrankLink(ground_mm=40.0, crank_mm=12.0, link_mm=40.0, arm_mm=12.0)
    for arc_deg in (30.0, 90.0, 160.0):
        ours = limits(Servo(), link, POINTER, MASS, arc_deg=arc_deg)
        plain = limits(Servo(), Direct(), POINTER, MASS, arc_deg=arc_deg)
        assert ours.speed_deg_per_s == pytest.approx(plain.speed_deg_per_s, rel=1e-6)
        assert ours.torque_mnm == pytest.approx(plain.torque_mnm, rel=1e-6)
        assert ours.acceleration_deg_per_s2 == pytest.approx(plain.acceleration_deg_per_s2, rel=1e-6)


def test_a_link_takes_the_time_that_its_part_of_the_travel_takes() -> None:
    # 7 mm crank on a 12 mm arm: 60° of needle over about 137° of a servo that makes 500°/s
    link = CrankLink(ground_mm=36.0, crank_mm=7.0, link_mm=36.3, arm_mm=12.0)
    used_deg = used_travel_deg(link, 180.0, 60.0)
    able = limits(Servo(), link, POINTER, MASS, arc_deg=60.0)
    spans_deg = reach(link, used_deg).span_deg
    assert spans_deg / able.speed_deg_per_s == pytest.approx(used_deg / 500.0)


def test_gears_divide_torque_and_multiply_speed() -> None:
    servo = Servo()
    direct, geared = (limits(servo, t, POINTER, MASS) for t in (Direct(), GearPair(ratio=2.0)))
    assert geared.torque_mnm == pytest.approx(direct.torque_mnm / 2.0)
    assert geared.speed_deg_per_s == pytest.approx(direct.speed_deg_per_s * 2.0)
    own = own_inertia_gmm2(servo)
    assert geared.inertia_gmm2 - MASS.inertia_gmm2 == pytest.approx(own / 4.0)
    assert direct.speed_deg_per_s == pytest.approx(60.0 / 0.12)


def test_the_load_is_gravity_at_its_worst_and_friction() -> None:
    rubbing = POINTER.model_copy(update={"friction_mnm": 0.02})
    upright = limits(Servo(), Direct(), rubbing, MASS)
    assert upright.load_mnm == pytest.approx(MASS.unbalance_gmm * 9.80665e-3 + 0.02)
    flat = limits(Servo(), Direct(), POINTER, MASS, tilt_deg=0.0)
    assert flat.load_mnm == 0.0
    assert flat.margin is None
    held = limits(Stepper(torque_mnm=0.001), Direct(), rubbing, MASS)
    assert held.acceleration_deg_per_s2 == 0.0
    assert held.sweep_s(90.0) is None


def test_the_sweep_is_the_trapezoid_of_the_textbook() -> None:
    able = limits(Servo(), Direct(), POINTER, MASS)
    arc_deg, speed, ramp = 180.0, able.speed_deg_per_s, able.acceleration_deg_per_s2
    assert able.sweep_s(arc_deg) == pytest.approx(arc_deg / speed + speed / ramp)
    short = speed**2 / ramp / 4.0
    assert able.sweep_s(short) == pytest.approx(2.0 * math.sqrt(short / ramp))


def test_the_start_stop_rate_is_the_closed_form_where_the_torque_is_flat() -> None:
    flat = Stepper(torque_mnm=1.0, torque_curve=((0.0, 1.0), (5000.0, 1.0)), most_steps_per_s=5000.0)
    theta, inertia = math.radians(1.0 / 3.0), (flat.inertia_gmm2 + 20.0) * 1e-6
    expected = math.sqrt(2.0 * (1.0 - 0.1) / (inertia * theta))
    assert start_stop_steps_per_s(flat, 20.0, 0.1) == pytest.approx(expected)
    assert start_stop_steps_per_s(flat, 20.0, 1.1) == 0.0
    assert start_stop_steps_per_s(flat, 0.0, 0.0) > start_stop_steps_per_s(flat, 500.0, 0.0)


def test_the_torque_curve_is_read_between_its_points_and_ends() -> None:
    stepper = Stepper(torque_curve=((0.0, 4.0), (100.0, 3.0), (300.0, 1.0)))
    assert [torque_at_mnm(stepper, rate) for rate in (50.0, 200.0, 400.0)] == [3.5, 2.0, 0.0]
    with pytest.raises(ValueError, match="speeds must rise along torque_curve, but 100 follows 100"):
        Stepper(torque_curve=((100.0, 4.0), (100.0, 3.0)))
    with pytest.raises(ValueError, match="torque_curve has a negative entry: 10 steps/s, -1 mN·m"):
        Stepper(torque_curve=((10.0, -1.0),))


def bare(mass: Mass = MASS) -> ServoDrive:
    servo = Servo(dead_band_us=0.0)
    drive = drive_of(servo, limits(servo, Direct(), POINTER, mass), mass, 1.0)
    assert isinstance(drive, ServoDrive)
    return drive


@pytest.mark.parametrize("heavier", [1.0, 20_000.0])
def test_the_servo_moves_as_a_general_solver_says(heavier: float) -> None:
    mass = Mass(mass_g=MASS.mass_g, centre_mm=MASS.centre_mm, inertia_gmm2=MASS.inertia_gmm2 * heavier)
    drive, step_deg = bare(mass), 120.0

    def rates(_t: float, state: np.ndarray) -> list[float]:
        push = float(np.clip((step_deg - state[0]) / drive.band_deg, -1.0, 1.0))
        return [state[1], drive.full_deg_per_s2 * (push - state[1] / drive.most_deg_per_s)]

    times = np.arange(0.0, 0.8, STEP_S)
    solved = solve_ivp(rates, (0.0, 0.8), [0.0, 0.0], t_eval=times, rtol=1e-8, atol=1e-8)
    wanted = np.full(times.size, step_deg)
    ours = drive.follow(np.concatenate([[0.0], wanted]))[1:]
    # a step of time is 1 ms and the shaft turns at most 0.5° in it
    assert np.abs(ours - solved.y[0]).max() < 1.0


def test_a_bare_servo_does_not_overshoot_and_a_heavy_needle_does() -> None:
    wanted = np.concatenate([[0.0], np.full(2000, 60.0)])
    heavy = Mass(mass_g=100.0, centre_mm=(0.0, 0.0), inertia_gmm2=2e6)
    assert bare().follow(wanted).max() <= 60.0 + 0.05
    assert bare(heavy).follow(wanted).max() > 63.0


def test_the_dead_band_leaves_the_servo_short_by_half_of_it() -> None:
    servo = Servo(dead_band_us=20.0)  # 2° of shaft at 10 µs a degree
    drive = drive_of(servo, limits(servo, Direct(), POINTER, MASS), MASS, 1.0)
    rest_deg = drive.follow(np.concatenate([[0.0], np.full(2000, 60.0)]))[-1]
    assert 58.5 < rest_deg <= 60.0


def test_a_ramp_keeps_its_limits_and_lands_where_it_should() -> None:
    wanted = np.concatenate([np.full(10, 0.0), np.full(3000, 90.0)])
    path = ramped(wanted, 100.0, 400.0)
    speed = np.diff(path) / STEP_S
    assert np.abs(speed).max() <= 100.0 + 1e-6
    assert np.abs(np.diff(speed)).max() / STEP_S <= 400.0 + 1e-6
    assert path.max() <= 90.0 + 1e-6
    assert path[-1] == pytest.approx(90.0, abs=1e-6)
    # the trapezoid: 90/100 + 100/400 s
    assert np.argmax(path > 89.99) * STEP_S == pytest.approx(0.01 + 1.15, abs=0.02)


def test_slack_is_taken_up_from_either_side() -> None:
    shaft = np.concatenate([np.linspace(0.0, 10.0, 50), np.linspace(10.0, 0.0, 50)])
    needle = played(shaft, 1.0)
    assert needle[49] == pytest.approx(9.5)
    assert needle[-1] == pytest.approx(0.5)
    assert np.abs(needle - shaft).max() == pytest.approx(0.5)


def test_the_filter_reaches_63_percent_in_its_time_constant() -> None:
    values = np.concatenate([np.zeros(10), np.ones(1000)])
    out = smoothed(values, 0.2)
    assert out[9 + 200] == pytest.approx(1.0 - math.exp(-1.0), abs=1e-9)
    assert smoothed(values, 0.0) is values
