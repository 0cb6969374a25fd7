"""The complete small program with exported tables in it: raw values in on the serial line, needles out."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from gaugecore.calibration.readings import Direction
from gaugecore.table.c import to_c
from gaugecore.table.colophon import identifier
from tests.firmware import dials
from tests.firmware.builds import PROGRAM, build_avr
from tests.firmware.coils import places_of, steps_of
from tests.firmware.conftest import Switched
from tests.firmware.desk import TRAVEL_STEPS, desk_header
from tests.firmware.simboard import MCUS, SimBoard

RUDDER, SHAFT, FUEL = dials.rudder(), dials.shaft_speed(), dials.fuel()
HOME_RUN_STEPS = TRAVEL_STEPS + TRAVEL_STEPS // 16
#: An edge that the program makes may be off by this much in the simulator.
EDGE_TICKS = 2


@pytest.fixture(scope="session")
def programs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("program")
    for table in (RUDDER, SHAFT, FUEL):
        (folder / f"{identifier(table.origin.name)}.h").write_bytes(to_c(table))
    (folder / "needles.h").write_text(desk_header())
    return {mcu: build_avr(mcu, folder / f"{mcu}.elf", *PROGRAM, flags=(f"-I{folder}",)) for mcu in MCUS}


@pytest.fixture(params=MCUS)
def desk(request: pytest.FixtureRequest, switch_on: Switched, programs: dict[str, Path]) -> SimBoard:
    board: SimBoard = switch_on(request.param, programs[request.param])
    board.run_ms(50)
    return board


def _send(desk: SimBoard, line: bytes) -> list[float]:
    """Send a line; return where both servos stand when they have had time."""
    for _ in range(3):  # often enough to be alive
        desk.exchange(line, 500)
    for servo in (0, 1):
        desk.pulses(servo)
    desk.exchange(line, 60)
    return [desk.pulse_ticks(servo)[-1] for servo in (0, 1)]


@pytest.mark.slow
def test_every_raw_value_ends_in_the_pulse_its_table_gives(desk: SimBoard) -> None:
    up, down = Direction.UP, Direction.DOWN
    for rudder, direction, shaft in (
        (0, up, -400),
        (20000, up, -100),
        (65535, up, 400),
        (33000, down, 77),
        (70000, up, 5000),
        (0, down, -5000),
        (41, down, 0),  # inside the hysteresis, 1/256 of the raw range
        (300, up, 0),
    ):
        stands = _send(desk, f"{rudder} {shaft}\n".encode())
        assert abs(stands[0] - RUDDER.command(rudder, direction)) < 0.5  # it sees whole instructions
        assert abs(stands[1] - SHAFT.command(shaft)) <= EDGE_TICKS


def test_the_first_pulse_is_at_the_parked_place_and_no_pulse_jumps(desk: SimBoard) -> None:
    assert desk.pulses(0) == []
    desk.exchange(b"65535\n", 600)
    ticks = desk.pulse_ticks(0)
    assert ticks[:10] == [RUDDER.limits.lowest] * 10
    steps = [round(after - before) for before, after in pairwise(ticks)]
    assert max(steps) == 80  # 2000 µs/s in frames of 20 ms


@pytest.mark.slow
def test_without_values_the_needles_relax(desk: SimBoard) -> None:
    desk.exchange(b"30000 0\n", 2200)
    desk.pulses(0)
    desk.run_ms(100)
    assert desk.pulses(0) == []


BAD_LINES = (
    *(b"65535x\n", b"65535.0\n", b"--65535\n", b"65535  1\n", b"65535 -\n", b" 65535\n", b"+65535\n", b"\n"),
    *(b"99999999999\n", b"2147483648\n", b"1 2 3 4\n", b"1 2 3 4 5 6 7 8 9\n", b"65535\t\n", b"6553\x80\n"),
)


@pytest.mark.slow
def test_a_line_that_is_not_numbers_is_left_out_as_a_whole(desk: SimBoard) -> None:
    before = _send(desk, b"1000 10\r\n")
    for line in BAD_LINES:
        desk.exchange(line, 60)
        assert desk.pulse_ticks(0)[-1] == before[0], line
    assert _send(desk, b"1000 10\n") == before


@pytest.mark.slow
def test_the_stepper_homes_against_its_stop_and_goes_to_the_steps_its_table_gives(desk: SimBoard) -> None:
    for _ in range(18):
        desk.exchange(b"0 0 700\n", 500)
    steps = steps_of(desk.coil_states())
    assert min(places_of(steps)) == -HOME_RUN_STEPS
    assert sum(steps) == -HOME_RUN_STEPS + FUEL.command(700)


@pytest.mark.slow
def test_steps_are_evenly_spaced_and_no_faster_than_set(desk: SimBoard) -> None:
    for _ in range(18):
        desk.exchange(b"0 0 700\n", 500)
    desk.coil_states()
    for _ in range(4):
        desk.exchange(b"0 0 100\n", 500)
    times = [cycle for cycle, _ in desk.coil_states()]
    gaps_ms = [(after - before) / 16_000 for before, after in pairwise(times)]
    assert len(gaps_ms) > 300
    assert min(gaps_ms) >= 1000 / 400 - 0.126  # a step falls on a call of the 8 kHz timer
