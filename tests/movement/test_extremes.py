"""Any valid movement, train and pointer gets an answer or one clear sentence, never a traceback."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from gaugecore.errors import NeedlewrightError
from gaugecore.findings import Finding
from gaugecore.movement.outlook import outlook
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.replay import Conditions, replay
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.train import CrankLink, Direct, GearPair


def spread(low: float, high: float) -> st.SearchStrategy[float]:
    """Return numbers spread evenly over magnitudes."""
    return st.floats(math.log(low), math.log(high)).map(lambda x: min(max(math.exp(x), low), high))


servos = st.builds(
    Servo,
    pulse_min_us=st.floats(300.0, 1400.0),
    pulse_max_us=st.floats(1500.0, 3000.0),
    travel_deg=spread(0.01, 36000.0),
    dead_band_us=st.floats(0.0, 100.0),
    step_us=spread(1e-6, 100.0),
    slack_deg=st.floats(0.0, 45.0),
    seconds_per_60_deg=spread(1e-6, 10.0),
    run_up_s=spread(0.0005, 10.0),
    torque_mnm=spread(1e-6, 100_000.0),
)
steppers = st.builds(
    Stepper,
    steps_per_turn=spread(1e-3, 1e6),
    microsteps=st.integers(1, 256),
    travel_deg=spread(0.01, 36000.0),
    has_stop=st.booleans(),
    most_steps_per_s=spread(1e-3, 1e6),
    torque_mnm=spread(1e-6, 100_000.0),
    inertia_gmm2=st.one_of(st.just(0.0), spread(1e-6, 1e9)),
    torque_curve=st.sampled_from([(), ((0.0, 0.0),), ((0.0, 5.0), (10.0, 0.0))]),
)
gears = st.builds(GearPair, ratio=spread(1e-6, 100.0), slack_deg=st.floats(0.0, 45.0), idler=st.booleans())
bars = spread(0.1, 1000.0)


@st.composite
def links(draw: st.DrawFn) -> CrankLink | Direct:
    try:
        return CrankLink(
            ground_mm=draw(bars),
            crank_mm=draw(bars),
            link_mm=draw(bars),
            arm_mm=draw(bars),
            crank_deg=draw(st.floats(-400.0, 400.0)),
            crossed=draw(st.booleans()),
        )
    except ValidationError:
        return Direct()


pointers = st.builds(
    Pointer,
    length_mm=spread(0.1, 1000.0),
    tail_mm=st.one_of(st.just(0.0), spread(0.1, 1000.0)),
    blade_width_mm=spread(0.1, 50.0),
    boss_diameter_mm=spread(0.5, 100.0),
    bore_mm=st.floats(0.0, 5.0),
    thickness_mm=spread(0.01, 100.0),
    density_kg_m3=spread(1.0, 25_000.0),
    counterweight_g=st.floats(0.0, 1000.0),
    counterweight_at_mm=st.floats(0.0, 100.0),
    friction_mnm=st.one_of(st.just(0.0), spread(1e-6, 1000.0)),
)
movements = st.one_of(servos, steppers)
trains = st.one_of(st.just(Direct()), gears, links())


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(movements, trains, pointers, spread(0.01, 360.0), st.floats(-180.0, 180.0))
def test_every_valid_movement_has_an_outlook(
    movement: Servo | Stepper,
    train: Direct | GearPair | CrankLink,
    pointer: Pointer,
    arc_deg: float,
    tilt_deg: float,
) -> None:
    try:
        look = outlook(movement, train, pointer, arc_deg=arc_deg, tilt_deg=tilt_deg)
    except NeedlewrightError:
        return
    assert look.mass.mass_g > 0.0
    assert look.mass.inertia_gmm2 > 0.0
    assert all(isinstance(finding, Finding) for finding in look.findings)
    assert all(math.isfinite(c.half_width_deg) for c in look.budget.causes)


@pytest.mark.slow
@settings(max_examples=60, deadline=None)
@given(movements, trains, st.floats(0.0, 60.0), spread(1e-6, 1e6), st.floats(0.0, 1.0))
def test_every_valid_movement_replays_a_trace(
    movement: Servo | Stepper,
    train: Direct | GearPair | CrankLink,
    swing_deg: float,
    rate_hz: float,
    filter_s: float,
) -> None:
    times = np.linspace(0.0, 0.5, 20)
    conditions = Conditions(rate_hz=rate_hz, filter_s=filter_s)
    pointer = Pointer(length_mm=25.0)
    try:
        answer = replay(
            times, swing_deg * np.sin(9.0 * times), movement, train, pointer, conditions=conditions
        )
    except NeedlewrightError:
        return
    assert np.isfinite(answer.needle_deg).all()
    assert math.isfinite(answer.worst_error_deg)
