"""The bench program in the simulator, spoken to by the link code that users run."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from gaugecore.board.board import Board, Limits
from gaugecore.board.link import Patience
from gaugecore.board.stored_table import StoredTable
from gaugecore.errors import RefusedError
from tests.board.link_contract import LinkContract
from tests.firmware.bridge import Bridge
from tests.firmware.conftest import Switched
from tests.firmware.simboard import CYCLES_PER_TICK, MCUS, SimBoard

PATIENT = Patience(answer_s=1.0, tries=3, request_s=20.0, connect_s=10.0)
TABLE = StoredTable(((0, 2100), (30000, 2900), (65535, 3900)), ((0, 2060), (30000, 2880), (65535, 3900)))


@pytest.fixture(params=MCUS)
def bridge(
    request: pytest.FixtureRequest, switch_on: Switched, bench_programs: dict[str, Path]
) -> Iterator[Bridge]:
    with Bridge(switch_on(request.param, bench_programs[request.param])) as bridge:
        yield bridge


@pytest.fixture
def opened(bridge: Bridge) -> Iterator[Board]:
    with Board.open(bridge.url, patience=PATIENT) as opened:
        yield opened


@pytest.mark.slow
class TestContract(LinkContract):
    """The bodies that the virtual board is held to, too."""

    @pytest.fixture
    def board(self, opened: Board) -> Board:
        """Return the board the contract is about."""
        return opened


def _last_pulse_us(bridge: Bridge, channel: int, wait_s: float = 0.1) -> float | None:
    with bridge.hold() as board:
        board.pulses(channel)
    time.sleep(wait_s)
    with bridge.hold() as board:
        pulses = board.pulses(channel)
    return pulses[-1].width / CYCLES_PER_TICK / 2 if pulses else None


def _wait_still(opened: Board, channel: int) -> None:
    for _ in range(200):
        if opened.status(channel).state == "still":
            return
    raise AssertionError("the needle never came to rest")


def test_it_says_what_it_is(bridge: Bridge, opened: Board) -> None:
    with bridge.hold() as board:
        mcu = board.mcu
    assert not opened.identity.virtual
    assert opened.identity.channels == {"atmega328p": 4, "atmega2560": 5}[mcu]
    limits = opened.limits(0)
    assert limits == Limits(kind="servo", low=1000, high=2000, least=300, most=3000)


@pytest.mark.slow
def test_a_move_ends_in_pulses_of_the_commanded_width(bridge: Bridge, opened: Board) -> None:
    with opened.kept_alive():
        opened.move(0, 1234.5)
        _wait_still(opened, 0)
        assert _last_pulse_us(bridge, 0) == 1234.5


def test_a_move_outside_the_limits_is_refused_and_nothing_moves(bridge: Bridge, opened: Board) -> None:
    with pytest.raises(RefusedError, match="outside the limits stored in the board"):
        opened.move(0, 1500, 2001)
    assert _last_pulse_us(bridge, 0) is None
    assert opened.status(0).state == "relaxed"


@pytest.mark.slow
def test_when_traffic_stops_one_channel_relaxes_and_another_parks(bridge: Bridge, opened: Board) -> None:
    opened.set_watchdog(0.2)
    opened.set_loss(1, 1100)
    opened.move(0, 1500, 1500)
    time.sleep(1.0)
    assert _last_pulse_us(bridge, 0) is None
    parked_us = _last_pulse_us(bridge, 1)
    assert parked_us is not None
    assert abs(parked_us - 1100) <= 1
    assert opened.counters().lost == 1
    assert opened.status(0).state == "relaxed"


@pytest.mark.slow
def test_an_uploaded_table_drives_the_needle_both_ways_and_survives_a_power_cut(
    bridge: Bridge, opened: Board, switch_on: Switched
) -> None:
    opened.upload(0, TABLE)
    for raw, falls in ((20000, False), (45000, False), (20000, True), (65535, False), (0, True)):
        with opened.kept_alive():
            opened.raw(0, raw)
            _wait_still(opened, 0)
            assert _last_pulse_us(bridge, 0) == TABLE.command(raw, falls=falls) / 2
    state = opened.slot(0)
    with bridge.hold() as board:
        mcu, program = board.mcu, board.program
    bridge.replace(lambda memory: _again(switch_on, mcu, program, memory))
    assert opened.slot(0) == state
    assert opened.link.counters.restarts == 1
    assert opened.status(0).state == "relaxed"


def _again(switch_on: Switched, mcu: str, program: Path, memory: bytes) -> SimBoard:
    board: SimBoard = switch_on(mcu, program, memory)
    return board


@pytest.mark.slow
def test_over_a_bad_wire_everything_asked_is_done_exactly(
    switch_on: Switched, bench_programs: dict[str, Path]
) -> None:
    board = switch_on("atmega328p", bench_programs["atmega328p"])
    hurried = Patience(answer_s=0.08, tries=8, request_s=20.0, connect_s=10.0)
    with Bridge(board, spoil=0.004) as bridge, Board.open(bridge.url, patience=hurried) as opened:
        for command in range(1000, 2000, 50):
            opened.move(2, command)
            assert opened.status(2).command == command
        opened.upload(1, TABLE)
        assert opened.slot(1).active == 0
        assert opened.link.counters.repeats > 0
