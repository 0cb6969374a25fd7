"""The small program for exported tables: right for the movement, or refused in a sentence."""

from __future__ import annotations

import pytest

from gaugecore.errors import TableError
from gaugecore.movement.library import GENERIC
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.panel.program_of import program_of
from gaugecore.table.from_fit import Wanted, straight, table_from_fit
from gaugecore.table.integer import Origin, Table
from tests.table.test_from_fit import fit_of


def servo_table(timer_hz: float | None) -> Table:
    return table_from_fit(
        fit_of(),
        raw_range=(0, 255),
        angle_deg=straight((0, 255), (-60.0, 60.0)),
        wanted=Wanted(timer_hz=timer_hz),
        origin=Origin.named("flap"),
    )


def stepper_table() -> Table:
    fit = fit_of()
    knots = fit.knots.model_copy(
        update={
            side: tuple((c - min(getattr(fit.knots, side))) / 2.0 for c in getattr(fit.knots, side))
            for side in ("command_up", "command_down")
        }
    )
    steps = (*knots.command_up, *knots.command_down)
    fit = fit.model_copy(
        update={"kind": "stepper", "knots": knots, "command_range": (min(steps), max(steps))}
    )
    return table_from_fit(
        fit,
        raw_range=(0, 255),
        angle_deg=straight((0, 255), (-60.0, 60.0)),
        wanted=Wanted(),
        origin=Origin.named("fuel"),
    )


@pytest.mark.parametrize("timer_hz", [1e6, 16e6])
def test_a_table_in_other_ticks_than_the_programs_gets_no_program(timer_hz: float) -> None:
    # the pulses of the program count half microseconds; any other tick would drive a servo into its stop
    with pytest.raises(TableError, match="counts half microseconds"):
        program_of([(servo_table(timer_hz), Servo())])


@pytest.mark.parametrize("timer_hz", [None, 2e6])
def test_half_microseconds_and_microseconds_serve(timer_hz: float | None) -> None:
    header = program_of([(servo_table(timer_hz), None)])["needles.h"].decode()
    assert ("NW_FLAP_LOWEST * 2" in header) == (timer_hz is None)


def test_a_stepper_gets_the_travel_and_the_speeds_of_its_own_movement() -> None:
    gauge = Stepper(travel_deg=270.0, most_steps_per_s=400.0, home_steps_per_s=90.0)
    header = program_of([(stepper_table(), gauge)])["needles.h"].decode()
    travel = 810  # 270 / 360 of 1080 steps
    assert f".home_run = {travel + travel // 16}u" in header
    assert "NW_STEPPER_SPEED(400UL)" in header
    assert ".home_speed = NW_STEPPER_SPEED(90UL)" in header


def test_steps_are_counted_as_they_are_and_no_speed_is_none() -> None:
    gauge = Stepper(travel_deg=29.0, steps_per_turn=720.0, most_steps_per_s=0.9, home_steps_per_s=0.5)
    header = program_of([(stepper_table(), gauge)])["needles.h"].decode()
    assert f".home_run = {58 + 58 // 16}u" in header
    assert header.count("NW_STEPPER_SPEED(1UL)") == 2


def test_a_way_to_the_stop_that_16_bits_do_not_hold_is_refused() -> None:
    most = 61680  # and a sixteenth more is 65535
    program_of([(stepper_table(), Stepper(travel_deg=360.0, steps_per_turn=most))])
    with pytest.raises(TableError, match=r"16 bits, found .*61681 steps"):
        program_of([(stepper_table(), Stepper(travel_deg=360.0, steps_per_turn=most + 1))])


@pytest.mark.parametrize("movement", [GENERIC["hybrid-28mm"], Stepper(has_stop=False), Stepper(microsteps=8)])
def test_a_stepper_that_the_program_cannot_home_or_turn_is_refused(movement: Stepper) -> None:
    with pytest.raises(TableError, match="full steps, that home against a stop, found "):
        program_of([(stepper_table(), movement)])


def test_a_stepper_of_which_only_the_fit_is_known_is_refused() -> None:
    with pytest.raises(TableError, match="must know the stepper to home it"):
        program_of([(stepper_table(), None)])
