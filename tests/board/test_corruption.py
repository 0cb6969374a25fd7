"""Every change of one, two or three bits in a typical line: nothing else than what was asked is ever done.

There are a quarter to four million such changes a line. A CRC is linear: turning bits adds up the syndromes
of those bits, whatever the line says. So numpy finds, by lookup, the few changes of body and digits that pass
the CRC; these, and all changes that make or break a line feed, are then read by the real reader and given to
a real board.
"""

import itertools
import random
from binascii import crc_hqx
from collections.abc import Iterator

import numpy as np
import pytest

from gaugecore.board.messages import LineReader, frame
from gaugecore.board.misbehaviour import Imp, Misbehaviour
from gaugecore.board.virtual import VirtualBoard
from gaugecore.board.virtual_options import VirtualOptions

TYPICAL = [
    "2 hello 1",
    "2 move 0 3000",
    "17 move 0 3000",
    "65535 move 7 6000",
    "41205 move 2 2874 3011 4402",
    "32905 move 0 965 1910 2498 920 2924 645 1598 5546",  # fails on the CRC alone: 32907 ... 1588 5546
    "12 limits 0 1200 4800",
    "300 loss 1 park 3000",
    "8 raw 0 32768",
    "9 relax",
    "10 watchdog 1500",
    "11 block 0 24 0102030405060708090A0B0C0D0E0F101112131415161718",
    "5 commit 0 CBF43926",
]
Bits = tuple[int, ...]


def turned(line: bytes, places: Bits) -> bytes:
    changed = bytearray(line)
    for place in places:
        changed[place // 8] ^= 1 << place % 8
    return bytes(changed)


def syndromes(length: int) -> np.ndarray:
    """What turning each bit of a body does to its checksum; linear, so a start value of 0 serves."""
    return np.array([crc_hqx(turned(bytes(length), (place,)), 0) for place in range(8 * length)])


def digit_changes(line: bytes) -> dict[tuple[int, int], list[Bits]]:
    """Turned bits in the four digits that leave digits, by their count and what they add to the value."""
    first = 8 * (len(line) - 5)
    found: dict[tuple[int, int], list[Bits]] = {}
    for count in range(4):
        for places in itertools.combinations(range(first, first + 32), count):
            digits = turned(line, places)[-5:-1]
            if all(byte in b"0123456789ABCDEF" for byte in digits):
                added = int(digits, 16) ^ int(line[-5:-1], 16)
                found.setdefault((count, added), []).append(places)
    return found


def passing(line: bytes) -> Iterator[Bits]:
    """All changes of one to three bits in body and digits that the CRC does not notice."""
    at = syndromes(len(line) - 6)
    one, two = np.triu_indices(len(at), 1)
    pairs = at[one] ^ at[two]
    for (count, added), in_digits in digit_changes(line).items():
        in_body: list[Bits] = []
        if count <= 2:
            in_body += [(int(place),) for place in np.nonzero(at == added)[0]]
        if count <= 1:
            in_body += [(int(one[k]), int(two[k])) for k in np.nonzero(pairs == added)[0]]
        if count == 0:
            for place in np.nonzero(np.isin(at, pairs))[0]:
                in_body += [(int(place), int(one[k]), int(two[k])) for k in np.nonzero(pairs == at[place])[0]]
        yield from (body + digits for body in in_body for digits in in_digits)
    assert not any(added == 0 for count, added in digit_changes(line) if count)


def end_moving(line: bytes) -> Iterator[Bits]:
    """All changes of one to three bits that make a line feed, or spoil the one there is."""
    musts = [
        tuple(8 * place + bit for bit in range(8) if (byte ^ 0x0A) >> bit & 1)
        for place, byte in enumerate(line[:-1])
        if (byte ^ 0x0A).bit_count() <= 3
    ]
    musts += [(8 * (len(line) - 1) + bit,) for bit in range(8)]
    for must in musts:
        others = [place for place in range(8 * len(line)) if place not in must]
        for count in range(4 - len(must)):
            for more in itertools.combinations(others, count):
                yield must + more


def greeted_board(before: int) -> VirtualBoard:
    """A board with eight channels and wide limits that has answered request number `before`."""
    board = VirtualOptions(channels=8).board(Imp(Misbehaviour(), 1))
    board.answer("1 hello 1", 0.0)
    for channel in board.channels:
        channel.set_limits(600, 6000, 0.0)
        channel.move(3001, 0.0)
    board.answer(f"{before} hello 1", 0.0)
    return board


def state_of(board: VirtualBoard) -> tuple[object, ...]:
    channels = [(c.powered, c.last_command, repr(c.storage), repr(c.upload)) for c in board.channels]
    return (*channels, board.watchdog_ms)


def harmless(body: str, changes: Iterator[Bits]) -> tuple[int, int]:
    """Give changed lines to a board; return how many, and how many of them were lines still."""
    line, number = frame(body), int(body.split()[0])
    after = frame(f"{number % 65535 + 1} alive")
    board = greeted_board(number - 1 or 65535)
    untouched = state_of(board)
    tried = passed = 0
    for places in changes:
        tried += 1
        for heard in LineReader().feed(turned(line, places) + after):
            if heard == body or heard == after[:-6].decode():
                continue
            passed += 1
            board.answer(heard, 0.0)
            assert state_of(board) == untouched, heard
            board = greeted_board(number - 1 or 65535)
    return tried, passed


@pytest.mark.parametrize("body", TYPICAL)
def test_no_change_of_up_to_three_bits_that_passes_the_crc_does_anything(body):
    harmless(body, passing(frame(body)))


@pytest.mark.slow
@pytest.mark.parametrize("body", ["2 move 0 3000", "9 relax", "300 loss 1 park 3000"])
def test_no_change_of_up_to_three_bits_that_moves_the_line_s_end_does_anything(body):
    tried, _ = harmless(body, end_moving(frame(body)))
    assert tried > 1000


@pytest.mark.slow
def test_the_guards_behind_the_crc_hold_for_random_moves():
    draw = random.Random(4)
    passed = 0
    for _ in range(40):
        values = " ".join(str(draw.randint(600, 6000)) for _ in range(draw.choice((1, 2, 4, 8))))
        body = f"{draw.randint(2, 65534)} move 0 {values}"
        passed += harmless(body, passing(frame(body)))[1]
    assert passed > 0  # else this test would show nothing


@pytest.mark.slow
def test_the_sums_agree_with_reading_the_lines():
    line = frame("17 move 0 3000")
    draw = np.random.default_rng(5)
    for places in draw.integers(0, 8 * len(line), size=(20_000, 3)):
        assert list(LineReader().feed(turned(line, tuple(set(places.tolist()))))) == []
