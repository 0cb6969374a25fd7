"""Replays: lag, overshoot and error where they can be known beforehand; bad traces in one sentence each."""

from __future__ import annotations

import numpy as np
import pytest

from gaugecore.errors import InputError
from gaugecore.movement.library import GENERIC
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.replay import Conditions, replay, step_response
from gaugecore.movement.servo import Servo
from gaugecore.movement.trace_plot import plot_replay
from gaugecore.movement.train import CrankLink, Direct, GearPair

POINTER = Pointer(length_mm=25.0)
TIMES = np.linspace(0.0, 8.0, 400)
SWING = 50.0 * np.sin(2.0 * np.pi * 0.25 * TIMES)
#: Nothing in the way: no dead band, no slack, much too fast.
IDEAL = Servo(dead_band_us=0.0, slack_deg=0.0, seconds_per_60_deg=0.001, run_up_s=0.0005, step_us=0.01)


def test_the_filter_makes_the_lag_that_its_time_constant_says() -> None:
    # a first-order filter is late by its time constant on a slow trace (textbook), holding adds half a period
    slow = replay(TIMES, SWING, IDEAL, Direct(), POINTER, conditions=Conditions(rate_hz=1000.0, filter_s=0.2))
    quick = replay(TIMES, SWING, IDEAL, Direct(), POINTER, conditions=Conditions(rate_hz=1000.0))
    assert slow.lag_s is not None
    assert quick.lag_s is not None
    assert slow.lag_s - quick.lag_s == pytest.approx(0.2, abs=0.02)


def test_a_slower_simulator_makes_a_later_needle() -> None:
    lags = [
        replay(TIMES, SWING, IDEAL, Direct(), POINTER, conditions=Conditions(rate_hz=rate)).lag_s or 0.0
        for rate in (1000.0, 10.0, 4.0)
    ]
    assert lags[1] - lags[0] == pytest.approx(0.05, abs=0.012)
    assert lags[2] - lags[0] == pytest.approx(0.125, abs=0.015)


def test_a_limit_of_speed_shows_as_the_worst_error() -> None:
    held = replay(TIMES, SWING, IDEAL, Direct(), POINTER, conditions=Conditions(most_deg_per_s=30.0))
    speed = np.diff(held.commanded_deg) / np.diff(held.time_s)
    assert held.worst_error_deg > 20.0
    # commands go out every 20 ms
    assert np.abs(speed).max() * 0.001 <= 30.0 * 0.02 + 1e-6


def test_slack_and_dead_band_show_at_rest() -> None:
    servo = Servo(dead_band_us=10.0, slack_deg=1.0)
    answer = step_response(servo, GearPair(ratio=1.5, slack_deg=0.5), POINTER, step_deg=90.0)
    # half of 1.5 (slack of the movement, geared) + 0.5, and half of 1.5° of dead band at most
    assert answer.settled_error_deg is not None
    assert 1.0 <= answer.settled_error_deg <= 1.75 + 0.1
    assert answer.overshoot_deg == pytest.approx(0.0, abs=0.1)


def test_a_heavy_needle_overshoots_and_is_said_to() -> None:
    light = GENERIC["servo-9g-analogue"]
    heavy = Pointer(
        length_mm=200.0, thickness_mm=10.0, blade_width_mm=18.0, boss_diameter_mm=30.0, tip_width_mm=18.0
    )
    answer = step_response(light, Direct(), heavy, step_deg=90.0)
    assert answer.overshoot_deg > 2.0
    assert step_response(light, Direct(), POINTER, step_deg=90.0).overshoot_deg < 0.1


def test_a_needle_that_stops_short_has_not_overshot() -> None:
    times = np.array([0.0, 1.0, 2.0, 8.0])
    falling = np.array([60.0, 60.0, -30.0, -30.0])
    answer = replay(times, falling, Servo(slack_deg=2.0), Direct(), POINTER)
    assert answer.overshoot_deg == 0.0
    assert answer.settled_error_deg is not None
    assert answer.settled_error_deg > 0.9


@pytest.mark.parametrize("movement", GENERIC.values(), ids=list(GENERIC))
def test_every_generic_movement_follows_a_gentle_swing(movement: Servo) -> None:
    answer = replay(TIMES, SWING, movement, Direct(), POINTER)
    assert answer.rms_error_deg < 15.0
    assert answer.lag_s is not None
    assert answer.lag_s < 0.3


def test_a_link_is_followed_through_its_own_map() -> None:
    link = CrankLink(ground_mm=36.0, crank_mm=7.0, link_mm=36.3, arm_mm=12.0)
    answer = replay(TIMES, SWING / 2.0, GENERIC["servo-9g-digital"], link, POINTER)
    assert answer.rms_error_deg < 5.0


def test_a_trace_that_stands_still_has_no_lag() -> None:
    answer = replay(TIMES, np.full(400, 12.0), Servo(), Direct(), POINTER)
    assert answer.lag_s is None
    assert answer.worst_error_deg < 0.1


@pytest.mark.parametrize(
    ("times", "angles", "says"),
    [
        ([0.0], [1.0], "a trace needs as many angles as times, at least two, found '1 times, 1 angles'"),
        ([0.0, 1.0], [1.0, 2.0, 3.0], "a trace needs as many angles as times"),
        (
            [0.0, 1.0, 1.0],
            [1.0, 2.0, 3.0],
            "row 3: the times of a trace must rise, found 1.0; accepted: more than 1 s",
        ),
        ([0.0, np.nan], [1.0, 2.0], "a trace has a value that is not a number"),
        ([0.0, 5000.0], [1.0, 2.0], "the trace is too long, found '5000 s'; accepted: at most 900 s"),
        ([0.0, 1.0], [-150.0, 150.0], "the trace spans more than the movement reaches, found '300.0°'"),
    ],
)
def test_a_trace_that_cannot_be_used_is_refused(times: list[float], angles: list[float], says: str) -> None:
    with pytest.raises(InputError) as refused:
        replay(np.array(times), np.array(angles), Servo(), Direct(), POINTER)
    assert says in str(refused.value)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"rate_hz": 0.0}, "rate_hz: must be more than zero"),
        ({"filter_s": -1.0}, "filter_s: the filter's time"),
    ],
)
def test_conditions_that_make_no_sense_are_refused(fields: dict[str, float], says: str) -> None:
    with pytest.raises(InputError, match=says):
        Conditions(**fields)


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "starts"), [("png", b"\x89PNG"), ("pdf", b"%PDF"), ("svg", b"<?xml")])
def test_the_picture_is_a_file_and_the_same_every_day(kind: str, starts: bytes) -> None:
    replayed = step_response(Servo(), Direct(), POINTER, step_deg=60.0)
    pictures = [plot_replay(replayed, title="Rudder", file_format=kind) for _ in range(2)]  # type: ignore[arg-type]
    assert pictures[0].startswith(starts)
    assert pictures[0] == pictures[1]
