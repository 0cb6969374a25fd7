"""Power cuts: whatever byte was the last one written, the board comes back with the old or the new, whole.

Every write to the EEPROM of one run is noted; then the memory as it was after each of them is given to a
board that is switched on anew. A byte that was being written when the power went may hold anything.
"""

from __future__ import annotations

import itertools
import random
import zlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from gaugecore.board.stored_table import StoredTable
from tests.firmware.conftest import Switched
from tests.firmware.simboard import CYCLES_PER_MS, EEPROM_BYTES, MCUS, SimBoard

OLD = StoredTable(((0, 2000), (20000, 3000), (65535, 4000)))
NEW = StoredTable(((0, 2500), (40000, 2600), (65535, 3500)), ((0, 2480), (65535, 3500)))
RAWS = (0, 1000, 30000, 65535, 12345)


def _upload(board: SimBoard, channel: int, table: StoredTable) -> None:
    content = table.to_bytes()
    assert board.ask(f"begin {channel} {len(content)}").startswith("ok")
    for start in range(0, len(content), 24):
        block = content[start : start + 24].hex().upper()
        assert board.ask(f"block {channel} {start} {block}") == "ok"
    assert board.ask(f"commit {channel} {zlib.crc32(content):08X}").startswith("ok")


def _commands(board: SimBoard, channel: int) -> list[int]:
    """Return the commands that raw values give, as the board reports them."""
    commands = []
    for raw in RAWS:
        assert board.ask(f"raw {channel} {raw}") == "ok"
        commands.append(int(board.ask(f"status {channel}").split()[2]))
    return commands


def _expected(table: StoredTable) -> list[int]:
    falls, before, commands = False, None, []
    for raw in RAWS:
        falls = falls if before is None or raw == before else raw < before
        commands.append(table.command(raw, falls=falls))
        before = raw
    return commands


def _cut_at_every_write(
    before: bytes, writes: list[tuple[int, int]], chance: random.Random
) -> Iterator[tuple[int, bytes]]:
    """Yield the memory after each count of writes, whole, and with the next byte half-written."""
    memory = bytearray(before)
    for done, (address, byte) in enumerate(writes):
        yield done, bytes(memory)
        for torn in {0xFF, memory[address] & byte, chance.randrange(256)}:
            yield done, bytes(memory[:address]) + bytes([torn]) + bytes(memory[address + 1 :])
        memory[address] = byte
    yield len(writes), bytes(memory)


@pytest.fixture(params=MCUS)
def mcu(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.mark.slow
@pytest.mark.parametrize("uploads_before", [1, 2])
def test_a_power_cut_at_any_byte_of_an_upload_leaves_the_old_table_or_the_new(
    switch_on: Switched, bench_programs: dict[str, Path], mcu: str, uploads_before: int
) -> None:
    board = switch_on(mcu, bench_programs[mcu])
    board.greet()
    for _ in range(uploads_before):  # with two, the slot to be written holds a whole older table
        _upload(board, 1, OLD)
    before = board.memory
    board.writes()
    _upload(board, 1, NEW)
    writes = board.writes()
    assert len(writes) > len(NEW.to_bytes()) // 2
    fresh_from = len(writes)
    for done, memory in _cut_at_every_write(before, writes, random.Random(1)):
        again = switch_on(mcu, bench_programs[mcu], memory)
        again.greet()
        commands = _commands(again, 1)
        assert commands in (_expected(OLD), _expected(NEW)), f"after {done} of {len(writes)} bytes"
        if commands == _expected(NEW):
            fresh_from = min(fresh_from, done)
    assert commands == _expected(NEW)
    assert fresh_from >= len(writes) - 1  # only the very last byte makes it valid


@pytest.mark.slow
def test_a_power_cut_while_limits_are_stored_leaves_the_old_ones_or_the_new(
    switch_on: Switched, bench_programs: dict[str, Path], mcu: str
) -> None:
    board = switch_on(mcu, bench_programs[mcu])
    board.greet()
    board.ask("limits 0 2100 3900")
    board.ask("loss 2 park 2345")
    before = board.memory
    board.writes()
    assert board.ask("limits 0 2600 2700") == "ok servo 2600 2700 600 6000"
    answers = set()
    for _, memory in _cut_at_every_write(before, board.writes(), random.Random(2)):
        again = switch_on(mcu, bench_programs[mcu], memory)
        again.greet()
        answers.add(again.ask("limits 0"))
        assert again.ask("loss 2") == "ok park 2345"
    assert answers == {"ok servo 2100 3900 600 6000", "ok servo 2600 2700 600 6000"}


def test_a_memory_of_rubbish_gives_factory_limits_and_no_table(
    switch_on: Switched, bench_programs: dict[str, Path], mcu: str
) -> None:
    chance = random.Random(3)
    for memory in (b"\0" * EEPROM_BYTES[mcu], chance.randbytes(EEPROM_BYTES[mcu])):
        board = switch_on(mcu, bench_programs[mcu], memory)
        board.greet()
        assert board.ask("limits 0") == "ok servo 2000 4000 600 6000"
        assert board.ask("table 0").startswith("ok - 0 00000000 ")
        assert board.ask("raw 0 100") == "no table"


def test_many_uploads_in_a_row_each_take_the_other_slot(
    switch_on: Switched, bench_programs: dict[str, Path]
) -> None:
    board = switch_on("atmega328p", bench_programs["atmega328p"])
    board.greet()
    table = StoredTable(((0, 2000), (1, 2001)))
    slots = []
    for _ in range(300):  # the generations count round
        _upload(board, 0, table)
        slots.append(board.ask("table 0").split()[1])
    assert slots == ["0", "1"] * 150
    again = switch_on("atmega328p", bench_programs["atmega328p"], board.memory)
    again.greet()
    assert again.ask("table 0").split()[1] == "1"


def test_a_table_that_is_none_is_refused_and_the_old_one_stays(board: SimBoard) -> None:
    _upload(board, 0, OLD)
    slot = board.ask("table 0")
    for content in (
        b"\x02" + OLD.to_bytes()[1:],  # another format
        OLD.to_bytes()[:-1],  # cut short
        bytes([1, 2, 0, 0]) + bytes(8),  # raw values that do not rise
        bytes([1, 1, 0, 0]) + bytes(4),  # one knot
    ):
        board.ask(f"begin 0 {len(content)}")
        board.ask(f"block 0 0 {content.hex().upper()}")
        assert board.ask(f"commit 0 {zlib.crc32(content):08X}") == "no table"
        assert board.ask("table 0") == slot
    assert _commands(board, 0) == _expected(OLD)


def test_a_table_that_arrives_changed_is_refused_with_its_own_crc(board: SimBoard) -> None:
    content = OLD.to_bytes()
    board.ask(f"begin 0 {len(content)}")
    board.ask(f"block 0 0 {content.hex().upper()}")
    assert board.ask("commit 0 00000000") == f"no crc {zlib.crc32(content):08X}"
    assert board.ask("table 0").startswith("ok - ")


@pytest.mark.slow
def test_while_bytes_are_stored_the_pulses_go_on(board: SimBoard) -> None:
    board.ask("move 0 3000 3000")
    board.run_ms(60)
    board.pulses(0), board.pulses(1)
    began = board.cycle
    _upload(board, 2, NEW)
    assert (board.cycle - began) / CYCLES_PER_MS > 3.4 * len(board.writes())  # so the memory was slow
    for channel in (0, 1):
        starts = [pulse.start for pulse in board.pulses(channel)]
        assert len(starts) >= 5
        assert all(319_900 < b - a < 320_100 for a, b in itertools.pairwise(starts))
