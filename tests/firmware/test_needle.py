"""The runtime, compiled for this machine with sanitisers by gcc and by clang, against the Python model."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from tests.firmware.host_needle import (
    HOMING,
    MOVING,
    PARTS,
    RELAXED,
    STILL,
    HostNeedle,
    Setup,
    next_speed,
)

fuzzed = settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@st.composite
def setups(draw: st.DrawFn) -> Setup:
    low = draw(st.integers(0, 65535))
    high = draw(st.integers(low, 65535))
    return Setup(
        low=low,
        high=high,
        park=draw(st.integers(0, 65535)),
        speed=draw(st.sampled_from([0, 1, 37, 2048, 32767, 65535]) | st.integers(1, 32767)),
        change=draw(st.sampled_from([0, 1, 256, 32767, 65535]) | st.integers(1, 32767)),
        starts_at_command=draw(st.booleans()),
    )


def _ticks_to_settle(gap: int, speed: int, change: int) -> int:
    """Return an upper bound of the ticks a move from rest takes: the trapezoid of a textbook, and some."""
    if speed == 0:
        return 2
    run_up = min(math.ceil(speed / change), math.isqrt(gap // change) + 2) if change else 1
    return gap // speed + 4 * run_up + 12


@fuzzed
@given(setup=setups(), data=st.data())
def test_a_needle_does_what_the_model_says_and_never_leaves_its_limits(
    host_needle: HostNeedle, setup: Setup, data: st.DataObject
) -> None:
    host_needle.begin(setup)
    speed, change = min(setup.speed, 32767), min(setup.change, 32767)
    position = before = 0
    started = False
    for _ in range(data.draw(st.integers(1, 4))):
        command = data.draw(st.integers(setup.low, setup.high))
        assert host_needle.command(command)
        if not started:
            park = min(max(setup.park, setup.low), setup.high)
            position = PARTS * (command if setup.starts_at_command else park)
            started = True
        for tick in host_needle.ticks(data.draw(st.integers(0, 60))):
            now = next_speed(before, command * PARTS - position, speed, change)
            assert tick.position == position + now
            assert speed == 0 or abs(now) <= speed
            assert speed == 0 or change == 0 or abs(now - before) <= change
            assert setup.low <= tick.output <= setup.high
            assert setup.low * PARTS <= tick.position <= setup.high * PARTS
            position = tick.position
            before = 0 if tick.state == STILL or speed == 0 else now


@fuzzed
@given(setup=setups(), data=st.data())
def test_a_needle_settles_at_its_target_in_the_time_it_needs(
    host_needle: HostNeedle, setup: Setup, data: st.DataObject
) -> None:
    command = data.draw(st.integers(setup.low, setup.high))
    park = min(max(setup.park, setup.low), setup.high)
    needed = _ticks_to_settle(abs(command - park) * PARTS, min(setup.speed, 32767), min(setup.change, 32767))
    assume(needed < 3000)
    host_needle.begin(setup)
    host_needle.command(command)
    last = host_needle.ticks(needed)[-1]
    assert (last.state, last.output, last.position) == (STILL, command, command * PARTS)
    assert {tick.output for tick in host_needle.ticks(5)} == {command}


@fuzzed
@given(raw=st.integers(-(2**31), 2**31 - 1), setup=setups())
def test_any_raw_value_ends_inside_the_limits(host_needle: HostNeedle, raw: int, setup: Setup) -> None:
    host_needle.begin(setup)
    host_needle.raw(raw)
    assert all(setup.low <= tick.output <= setup.high for tick in host_needle.ticks(20))


def test_nothing_is_put_out_before_the_first_value(host_needle: HostNeedle) -> None:
    host_needle.begin(Setup(silence_ticks=5, parks=True))
    assert {tick.state for tick in host_needle.ticks(30)} == {RELAXED}


def test_the_first_pulse_is_at_the_parked_place_and_the_needle_slews_from_there(
    host_needle: HostNeedle,
) -> None:
    host_needle.begin(Setup(park=2500))
    host_needle.command(4000)
    assert host_needle.output == 2500
    outputs = [tick.output for tick in host_needle.ticks(200)]
    assert max(b - a for a, b in zip([2500, *outputs], outputs, strict=False)) <= 2048 // PARTS
    assert outputs[-1] == 4000


def test_the_first_pulse_stands_still_as_long_as_set(host_needle: HostNeedle) -> None:
    host_needle.begin(Setup(park=2500, hold_ticks=7))
    host_needle.command(4000)
    outputs = [tick.output for tick in host_needle.ticks(9)]
    assert outputs[:7] == [2500] * 7
    assert outputs[7] > 2500


def test_after_relaxing_it_goes_on_from_where_friction_kept_it(host_needle: HostNeedle) -> None:
    host_needle.begin(Setup())
    host_needle.command(3600)
    host_needle.ticks(200)
    host_needle.relax()
    assert host_needle.state == RELAXED
    host_needle.command(2400)
    assert host_needle.output == 3600


def test_a_command_outside_the_limits_is_refused_and_changes_nothing(host_needle: HostNeedle) -> None:
    host_needle.begin(Setup())
    assert not host_needle.command(1999)
    assert not host_needle.command(4001)
    assert host_needle.state == RELAXED


def test_silence_relaxes(host_needle: HostNeedle) -> None:
    host_needle.begin(Setup(silence_ticks=10))
    host_needle.command(3100)
    states = [tick.state for tick in host_needle.ticks(15)]
    assert RELAXED not in states[:9]
    assert set(states[9:]) == {RELAXED}
    host_needle.command(3200)
    assert host_needle.state == MOVING


def test_silence_parks_inside_the_limits_when_set_so(host_needle: HostNeedle) -> None:
    host_needle.begin(Setup(silence_ticks=10, parks=True, park=9000))
    host_needle.command(3100)
    last = host_needle.ticks(400)[-1]
    assert (last.state, last.output) == (STILL, 4000)


def test_limits_that_shut_a_needle_out_relax_it_and_it_never_sends_the_old_place_again(
    host_needle: HostNeedle,
) -> None:
    host_needle.begin(Setup())
    host_needle.command(3900)
    host_needle.ticks(200)
    host_needle.set_limits(2000, 3500)
    assert host_needle.state == RELAXED
    host_needle.command(3000)
    assert all(tick.output <= 3500 for tick in host_needle.ticks(100))


def test_a_stepper_homes_before_its_first_move(host_needle: HostNeedle) -> None:
    setup = Setup(low=0, high=945, speed=300, change=20, home_run=1000, home_speed=77)
    host_needle.begin(setup)
    host_needle.command(300)
    ticks = host_needle.ticks(3000)
    homing = [tick for tick in ticks if tick.state == HOMING]
    assert all(-77 <= tick.moved <= 0 for tick in homing)
    assert sum(tick.moved for tick in ticks) == (-1000 + 300) * PARTS
    assert (ticks[-1].state, ticks[-1].output) == (STILL, 300)


@pytest.mark.parametrize("pause", [1, 40, 700])
def test_a_stepper_relaxed_on_its_way_to_the_stop_homes_again(host_needle: HostNeedle, pause: int) -> None:
    host_needle.begin(Setup(low=0, high=945, speed=300, change=20, home_run=1000, home_speed=77))
    host_needle.home()
    host_needle.ticks(pause)
    host_needle.relax()
    host_needle.command(10)
    assert host_needle.state == HOMING
