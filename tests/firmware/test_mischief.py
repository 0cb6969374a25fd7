"""Random and mutated lines: the firmware does what the protocol's other implementation does, no more."""

from __future__ import annotations

import random
import time
from pathlib import Path

import pytest

from gaugecore.board import virtual, virtual_channel
from gaugecore.board.messages import frame
from tests.firmware.builds import BENCH, build_avr
from tests.firmware.conftest import Switched
from tests.firmware.host_bench import HostBench
from tests.firmware.mischief import be_patient, play_batch
from tests.firmware.oracle import VERBS, Mirror, Mischief
from tests.firmware.simboard import CLOCK_HZ, SimBoard

#: Servos only, and as fast as they can: the other implementation has no steppers, and paces otherwise.
_LIKE_THE_VIRTUAL_ONE = ("-DNW_STEPPERS=0", "-DBENCH_SERVO_SPEED=0")


@pytest.fixture(scope="session")
def servos_only(tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("servos") / "bench.elf"
    return build_avr("atmega328p", target, *BENCH, flags=_LIKE_THE_VIRTUAL_ONE)


def _comparable(body: str) -> str:
    """Leave out what may differ: kind and name in a greeting, and whether a needle still moves."""
    words = body.split()
    if words[1:3] == ["ok", "1"] and len(words) == 6:
        words[3] = words[5] = "*"
    return " ".join("still" if word == "moving" else word for word in words)


def _answers(board: SimBoard, line: bytes, expected: int) -> list[str]:
    """Return the answers to a line: as many as are expected, within the protocol's time, or more."""
    board.send(line)
    board.run_through()
    said = b""
    for _ in range(125):
        board.run_ms(2)
        said += board.receive()
        if said.count(b"\n") >= expected:
            break
    board.run_ms(25)  # a frame, so that needles that were sent somewhere are there
    return [_body(one) for one in (said + board.receive()).decode("ascii").splitlines()]


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3))
def test_both_implementations_of_the_protocol_give_the_same_answers(
    switch_on: Switched, servos_only: Path, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    board = switch_on("atmega328p", servos_only)
    board.run_ms(50)
    mischief = Mischief(random.Random(seed), channels=3)
    mirror = Mirror(channels=3)
    capacity = _capacity(board, mirror, mischief)
    monkeypatch.setattr(virtual, "SLOT_CAPACITY", capacity)
    monkeypatch.setattr(virtual_channel, "SLOT_CAPACITY", capacity)
    done = set()
    for _ in range(1000):
        request = mischief.request()
        line = frame(f"{mischief.next_sequence()} {request}"[:72].strip())
        pieces = [line] if mischief.chance.random() < 0.9 else [line, line]
        if mischief.chance.random() < 0.15:
            pieces.insert(0, mischief.spoiled(line) + b"\n")
        for piece in pieces:
            expected = mirror.feed(piece, board.cycle / CLOCK_HZ)
            said = _answers(board, piece, len(expected))
            assert [*map(_comparable, said)] == [*map(_comparable, expected)], line
        if " ok" in said[-1]:
            done.add(request.split()[0])
    assert done == set(VERBS) - {"home", "x"}  # so all of them were put to use


def _body(line: str) -> str:
    body, _, crc = line.partition("*")
    assert frame(body).decode() == f"{body}*{crc}\n"
    return body


def _capacity(board: SimBoard, mirror: Mirror, mischief: Mischief) -> int:
    """Greet both; return what a slot of the firmware takes."""
    for request in ("hello 1", "table 0"):
        line = frame(f"{mischief.next_sequence()} {request}")
        mirror.feed(line)
        said = _answers(board, line, 1)
    return int(said[0].split()[-1])


@pytest.mark.slow
def test_no_bad_line_moves_a_needle_in_the_simulator(
    switch_on: Switched, bench_programs: dict[str, Path]
) -> None:
    board = switch_on("atmega328p", bench_programs["atmega328p"])
    board.run_ms(50)
    mischief, mirror = Mischief(random.Random(11), channels=3), Mirror(channels=4)
    be_patient(board, mirror, mischief)
    ends_s = time.monotonic() + 8.0
    lines = 0
    while time.monotonic() < ends_s:
        lines += play_batch(board, mirror, mischief, lines=400)
    assert lines > 1000


@pytest.mark.slow
def test_no_bad_line_moves_a_needle_on_this_machine(host_bench: HostBench) -> None:
    mischief, mirror = Mischief(random.Random(12), channels=3), Mirror(channels=4)
    be_patient(host_bench, mirror, mischief)
    for _ in range(100):
        play_batch(host_bench, mirror, mischief, lines=400)
