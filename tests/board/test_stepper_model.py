"""The stepper gauge behind the virtual board."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.board.board import Board
from gaugecore.board.range_finder import find_range
from gaugecore.board.session import Session, Setting, take_readings
from gaugecore.board.stepper_model import StepperCharacter, StepperModel, StepperNeedle, draw_stepper
from gaugecore.board.virtual_options import VirtualOptions
from gaugecore.errors import InputError, RefusedError
from tests.board.boards import on_memory

NEEDLE = StepperNeedle(most_steps=900, angle_at_low_deg=-150.0, angle_at_high_deg=150.0)
PERFECT = StepperCharacter(needle=NEEDLE)


def rested(model, now_s):
    assert not model.moving(now_s)
    return model.needle_deg(now_s)


def test_it_homes_before_its_first_move_and_then_counts():
    model = StepperModel(PERFECT, 1)
    model.command(450, 0.0)
    # 17/16 of 900 steps at 150 a second, then 450 at 500
    assert model.moving(900 * 17 / 16 / 150 + 0.89)
    assert rested(model, 900 * 17 / 16 / 150 + 0.91) == pytest.approx(0.0)
    model.command(900, 20.0)
    assert rested(model, 21.0) == pytest.approx(150.0)


def test_homing_takes_the_needle_to_its_stop_from_anywhere():
    for seed in range(20):
        model = StepperModel(PERFECT, seed)
        model.home(0.0)
        assert rested(model, 10.0) == pytest.approx(-150.0)


def test_on_its_way_it_is_where_its_speed_has_brought_it():
    model = StepperModel(PERFECT, 1)
    model.home(0.0)
    model.command(500, 10.0)
    assert model.needle_deg(10.5) == pytest.approx(-150 + 250 / 3)
    model.command(0, 10.5)
    assert rested(model, 11.1) == pytest.approx(-150.0)


def test_a_new_command_while_homing_waits_for_the_stop():
    model = StepperModel(PERFECT, 3)
    model.command(300, 0.0)
    model.command(600, 0.5)
    assert rested(model, 30.0) == pytest.approx(50.0)


def test_lost_steps_stay_lost_until_it_is_homed():
    model = StepperModel(PERFECT, 1)
    model.home(0.0)
    model.command(600, 10.0, sticks_at=0.5)
    assert rested(model, 20.0) == pytest.approx(-50.0)  # 300 of 600 steps were made
    model.command(300, 20.0)
    assert rested(model, 30.0) == pytest.approx(-150.0)  # and now all is 300 short
    model.home(30.0)
    model.command(300, 40.0)
    assert rested(model, 50.0) == pytest.approx(-50.0)


def test_beyond_the_far_end_steps_are_lost_too():
    model = StepperModel(PERFECT, 1)
    model.home(0.0)
    model.command(1000, 10.0)
    model.command(450, 20.0)
    assert rested(model, 30.0) == pytest.approx(150.0 - 550 / 3)


def test_a_reset_forgets_the_count_and_half_a_homing_counts_for_nothing():
    model = StepperModel(PERFECT, 1)
    model.home(0.0)
    model.forget(10.0)
    model.command(100, 10.0)
    assert model.moving(11.0)  # it homes first
    model.relax(11.0)
    model.command(100, 12.0)
    assert model.moving(14.0)
    assert rested(model, 30.0) == pytest.approx(-150 + 100 / 3)


@given(st.lists(st.tuples(st.integers(0, 900), st.floats(0.0, 3.0)), max_size=20), st.integers(0, 99))
def test_it_never_leaves_its_travel(moves, seed):
    model = StepperModel(draw_stepper(NEEDLE, seed), seed)
    now_s = 0.0
    for steps, later_s in moves:
        model.command(steps, now_s)
        now_s += later_s
        assert 0.0 <= model._rotor <= 900.0
        assert abs(model.needle_deg(now_s)) <= 150.0 + 2.0 + 1.0 + 0.5


@given(st.integers(0, 1000))
def test_every_stepper_drawn_goes_one_way(seed):
    character = draw_stepper(NEEDLE, seed)
    assert (np.diff([character.shaft_deg(steps) for steps in range(901)]) > 0).all()


STEPPER = "pace=1000&stepper=900,-150,150"


def test_the_board_says_it_is_a_stepper_and_homes_it():
    with on_memory(STEPPER + "&needle=600,2400,90,-90") as link:
        board = Board(link)
        limits = board.limits(0)
        assert (limits.kind, limits.low, limits.high, limits.least, limits.most) == ("stepper", 0, 0, 0, 900)
        assert board.limits(1).kind == "servo"
        board.home(0)
        with pytest.raises(RefusedError, match=r"outside the limits.*0 to 0 steps"):
            board.move(0, 10)
        board.set_limits(0, 0, 900)
        assert board.move(0, 450.4) == (450,)
        with pytest.raises(RefusedError, match="this kind of movement cannot"):
            board.home(1)


@pytest.mark.parametrize("seed", range(4))
def test_a_session_on_a_stepper_finds_its_range_and_reads_true(seed):
    with on_memory(f"{STEPPER}&seed={seed}") as link:
        board = Board(link)
        setting = Setting(channel=0, clockwise_with_command=True, widest=(0.0, 900.0), readings=15)
        with Session(board, setting) as session:
            low, high = find_range(session, lambda: board.eye_deg(0), arc_deg=(-120.0, 120.0))
            readings = take_readings(session, lambda: board.truth_deg(0))
        assert low < 900 * 30 / 300
        assert high > 900 * 270 / 300
        character = board.link._open_wire().board.channels[0].movement.character
        for reading in readings:
            # no step was lost on the way: the truth is the shaft's, within half the slack
            off = reading.angle_deg - character.shaft_deg(reading.command)
            assert abs(off) <= character.slack_deg / 2 + 0.01


def test_a_far_stop_met_while_looking_for_the_range_costs_no_steps_afterwards():
    with on_memory(STEPPER) as link:
        board = Board(link)
        movement = board.link._open_wire().board.channels[0].movement
        setting = Setting(channel=0, clockwise_with_command=True, widest=(0.0, 900.0), readings=9)
        with Session(board, setting) as session:
            session.seek(450)
            movement._rotor -= 100  # slips by a third of the way: the count is wrong
            find_range(session, lambda: board.eye_deg(0), arc_deg=(-120.0, 120.0))
            session.approach()
            assert movement._count == pytest.approx(movement._rotor)


def test_the_options_of_a_stepper_come_back():
    options = VirtualOptions.parse(STEPPER + "&needle=600,2400,90,-90")
    assert VirtualOptions.parse(options.query()) == options
    assert options.channels == 2


@pytest.mark.parametrize(
    "text", ["", "0,1,2", "900,5,5", "x,1,2", "900", "70000,0,90", "900,0,90,0", "9e2,0,90"]
)
def test_a_stepper_that_makes_no_sense_is_refused(text):
    with pytest.raises(InputError):
        VirtualOptions.parse(f"stepper={text}")


def test_angles_that_are_none_are_refused():
    with pytest.raises(InputError):
        StepperNeedle(angle_at_low_deg=math.nan)
