"""The stepper of the bench program: homing, moving, relaxing, seen at its four coil pins."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tests.firmware.coils import places_of, steps_of
from tests.firmware.simboard import CYCLES_PER_MS, SimBoard

MOST_STEPS = 945  # 315° of a third of a degree (several public firmware sources)
HOME_RUN_STEPS = MOST_STEPS + MOST_STEPS // 16


@pytest.fixture
def stepper(board: SimBoard) -> int:
    channel = {"atmega328p": 3, "atmega2560": 4}[board.mcu]
    assert board.ask(f"limits {channel} 0 900") == f"ok stepper 0 900 0 {MOST_STEPS}"
    return channel


def _wait_still(board: SimBoard, stepper: int) -> None:
    for _ in range(200):
        if board.ask(f"status {stepper}").startswith("ok still"):
            return
        board.run_ms(60)
    raise AssertionError("it never came to rest")


def test_homing_runs_gently_into_the_stop_and_calls_it_zero(board: SimBoard, stepper: int) -> None:
    assert board.ask(f"home {stepper}") == "ok"
    assert board.ask(f"status {stepper}") == "ok moving 0"
    _wait_still(board, stepper)
    states = board.coil_states()
    assert places_of(steps_of(states))[-1] == -HOME_RUN_STEPS
    gaps_ms = [(after - before) / CYCLES_PER_MS for (before, _), (after, _) in pairwise(states[1:])]
    assert min(gaps_ms) > 1000 / 150 - 0.2  # 150 steps a second, on the calls of an 8 kHz timer


def test_the_first_move_homes_before_it_goes_there(board: SimBoard, stepper: int) -> None:
    assert board.ask(f"move {stepper} 321") == "ok"
    _wait_still(board, stepper)
    places = places_of(steps_of(board.coil_states()))
    assert min(places) == -HOME_RUN_STEPS
    assert places[-1] == -HOME_RUN_STEPS + 321
    assert board.ask(f"status {stepper}") == "ok still 321"


def test_moves_count_steps_exactly_and_are_not_faster_than_set(board: SimBoard, stepper: int) -> None:
    board.ask(f"home {stepper}")
    _wait_still(board, stepper)
    board.coil_states()
    place = 0
    for command in (900, 1, 450, 449, 0):
        board.ask(f"move {stepper} {command}")
        _wait_still(board, stepper)
        states = board.coil_states()
        gaps_ms = [(after - before) / CYCLES_PER_MS for (before, _), (after, _) in pairwise(states)]
        assert len(states) == abs(command - place)
        assert not gaps_ms or min(gaps_ms) > 1000 / 500 - 0.2
        place = command


def test_a_servo_has_no_home(board: SimBoard) -> None:
    assert board.ask("home 0") == "no kind"


def test_a_command_outside_the_steppers_limits_moves_nothing(board: SimBoard, stepper: int) -> None:
    assert board.ask(f"move {stepper} 901") == "no limit 0 900"
    board.run_ms(100)
    assert board.coil_states() == []


def test_relaxing_takes_the_current_off_all_coils(board: SimBoard, stepper: int) -> None:
    board.ask(f"home {stepper}")
    board.run_ms(300)
    board.ask(f"relax {stepper}")
    board.run_ms(20)
    assert board.coil_states()[-1][1] == 0
    assert board.ask(f"status {stepper}") == "ok relaxed 0"


def test_the_watchdog_stops_even_a_homing_run(board: SimBoard, stepper: int) -> None:
    board.ask("watchdog 200")
    board.ask(f"home {stepper}")
    board.run_ms(400)
    assert board.ask(f"status {stepper}") == "ok relaxed 0"
    assert board.ask("counters").split()[6] == "1"
