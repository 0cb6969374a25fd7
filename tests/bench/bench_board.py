"""Line and drive: corrupted lines, round trips, and many needles at once.

Rivals: for the lines, the checks that hobby protocols use (none, an 8-bit sum, the 8-bit XOR of marine
electronics); for the drive, one request a needle from a queue, as a first sketch of such a program does it.
"""

from __future__ import annotations

import contextlib
import os
import random
import resource
import socket
import sys
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from functools import reduce
from operator import xor

import numpy as np

from gaugecore.board.board import Board
from gaugecore.board.messages import LineReader, frame
from gaugecore.board.misbehaviour import Imp, Misbehaviour
from gaugecore.board.virtual import VirtualBoard
from gaugecore.board.virtual_options import VirtualOptions
from gaugecore.feed.feed import Arrival, FeedCounters
from gaugecore.feed.udp import UdpFeed
from gaugecore.panel.driven_dial import DrivenDial
from gaugecore.panel.driver import Driver
from tests.panel.test_driver import an_instrument

LINES = 1_000_000
DIALS, RATE_HZ, SECONDS = 50, 50.0, 8.0


def run() -> None:
    """Print the figures."""
    say("Corrupted lines")
    _lines()
    say("\nRound trips over TCP to a board in its own process")
    _round_trips()
    say(f"\n{DIALS} needles at {RATE_HZ:g} Hz from datagrams, everything on one core, {SECONDS:g} s")
    _drives()


def say(text: str) -> None:
    """Print a line."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


# Lines


def corrupted(line: bytes, draw: random.Random) -> bytes:
    """Return what a bad cable makes of a line: turned bits, a burst, lost, doubled or strange bytes."""
    spoilt = bytearray(line)
    match draw.randrange(6):
        case 0 | 1:
            for place in draw.sample(range(8 * len(line)), draw.randint(1, 8)):
                spoilt[place // 8] ^= 1 << place % 8
        case 2:
            first = draw.randrange(8 * len(line) - 16)
            for place in range(first, first + draw.randint(2, 16)):
                spoilt[place // 8] ^= draw.getrandbits(1) << place % 8
        case 3:
            at = draw.randrange(len(line))
            del spoilt[at : at + draw.randint(1, 4)]
        case 4:
            at = draw.randrange(len(line))
            spoilt[at:at] = spoilt[at : at + draw.randint(1, 4)]
        case _:
            spoilt[draw.randrange(len(line))] = draw.choice(b"0123456789 abcdefmove*")
    return bytes(spoilt)


def _lines() -> None:
    draw = random.Random(8)
    board = VirtualOptions(channels=8).board(Imp(Misbehaviour(), 1))
    board.answer("1 hello 1", 0.0)
    for channel in board.channels:
        channel.set_limits(600, 6000, 0.0)
    rivals: dict[str, Callable[[bytes], int]] = {
        "8-bit sum": lambda body: sum(body) & 0xFF,
        "8-bit XOR": lambda body: reduce(xor, body, 0),
    }
    wrong = dict.fromkeys(["no check", *rivals, "CRC-16 and this protocol's rules"], 0)
    begun_s = time.monotonic()
    for number in range(LINES):
        body = f"2 move {number % 8} {1000 + number % 4000}".encode()
        if number % 10 == 0:  # the rivals are slow in Python; a tenth of the lines is enough to see them fail
            _try_rivals(body, rivals, wrong, draw)
        wrong["CRC-16 and this protocol's rules"] += _moves_wrongly(board, body, draw)
    for name, count in wrong.items():
        tried = LINES if name.startswith("CRC") else LINES // 10
        say(f"  {name:34s} {count:7,d} wrong moves of {tried:,d} corrupted lines")
    say(f"  ({time.monotonic() - begun_s:.0f} s)")


def _moves_wrongly(board: VirtualBoard, body: bytes, draw: random.Random) -> bool:
    line = frame(body.decode())
    spoilt = corrupted(line, draw)
    for heard in LineReader().feed(spoilt + b"\n"):
        if heard == body.decode():
            continue
        board.answer("1 hello 1", 0.0)
        before = [channel.last_command for channel in board.channels]
        board.answer(heard, 0.0)
        if [channel.last_command for channel in board.channels] != before:
            return True
    return False


def _try_rivals(
    body: bytes, rivals: dict[str, Callable[[bytes], int]], wrong: dict[str, int], draw: random.Random
) -> None:
    spoilt = corrupted(body + b"\n", draw).strip()
    wrong["no check"] += _is_another_move(spoilt, body)
    for name, check in rivals.items():
        spoilt = corrupted(b"%s*%02X\n" % (body, check(body)), draw).strip()
        said, _, digits = spoilt.rpartition(b"*")
        if digits == b"%02X" % check(said):
            wrong[name] += _is_another_move(said, body)


def _is_another_move(said: bytes, meant: bytes) -> bool:
    words = said.split(b" ")
    return (
        said != meant
        and len(words) == 4
        and words[1] == b"move"
        and words[2] in (b"0", b"1", b"2", b"3", b"4", b"5", b"6", b"7")
        and words[3].isdigit()
        and 600 <= int(words[3]) <= 6000
    )


# Round trips


def _round_trips() -> None:
    with Board.open("virtual:?pace=1000&channels=8") as board:
        for values in (1, 8):
            begun_s, count = time.monotonic(), 2000
            for number in range(count):
                board.move(0, *([1200.0 + number % 500] * values))
            took_s = time.monotonic() - begun_s
            say(f"  {values} command{'s' * (values > 1)} a request: {1e6 * took_s / count:6.0f} µs a request")


# Drives


@contextlib.contextmanager
def one_core() -> Iterator[None]:
    """Bind this process, and those it starts, to one core where the system can."""
    if not hasattr(os, "sched_setaffinity"):
        yield
        return
    before = os.sched_getaffinity(0)
    os.sched_setaffinity(0, {min(before)})
    try:
        yield
    finally:
        os.sched_setaffinity(0, before)


def _drives() -> None:
    dials = [DrivenDial(an_instrument(number), number) for number in range(DIALS)]
    with one_core(), Board.open(f"virtual:?channels={DIALS}") as board:
        feed = UdpFeed("127.0.0.1", 0)
        driver = Driver(board, dials, feed, rate_hz=RATE_HZ)
        driver.check_board(set_limits=True)
        memory_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        stop = threading.Event()
        with sending(feed.port, stop):
            threading.Timer(SECONDS, stop.set).start()
            driver.run(stop)
        state, counters = driver.state(), feed.counters
        feed.close()
        grown_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - memory_kb
        say(
            f"  newest wins, neighbours together: median {state.latency_median_ms:5.1f} ms, "
            f"95 % {state.latency_95_ms:5.1f} ms, worst {state.latency_worst_ms:5.1f} ms; "
            f"{state.requests} requests, {counters.taken} datagrams, {counters.superseded} superseded, "
            f"memory +{grown_kb} kB"
        )
        latencies = _queued(board, dials)
        say(
            f"  a request a needle, queued:       median {np.median(latencies):5.1f} ms, "
            f"95 % {np.percentile(latencies, 95):5.1f} ms, worst {max(latencies):5.1f} ms"
        )


@contextlib.contextmanager
def sending(port: int, stop: threading.Event) -> Iterator[None]:
    """Send a datagram with all values at the rate, from a thread, until stopped."""

    def send() -> None:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
            begun_s, number = time.monotonic(), 0
            while not stop.is_set():
                values = " ".join(f"dial-{dial}={(7 * number + 19 * dial) % 1000}" for dial in range(DIALS))
                sender.sendto(f"seq={number} {values}".encode(), ("127.0.0.1", port))
                number += 1
                time.sleep(max(0.0, begun_s + number / RATE_HZ - time.monotonic()))

    thread = threading.Thread(target=send)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join()


def _queued(board: Board, dials: list[DrivenDial]) -> list[float]:
    """Return latencies in ms of the rival: every value of every datagram is one request, in order."""
    feed = UdpFeed("127.0.0.1", 0)
    waiting: deque[tuple[float, DrivenDial, float]] = deque()
    latencies: list[float] = []
    stop = threading.Event()
    with sending(feed.port, stop), contextlib.closing(feed):
        until_s = time.monotonic() + SECONDS / 2
        while time.monotonic() < until_s:
            arrival = feed.poll(0.0)
            waiting += [(arrival.at_s, dial, arrival.values[dial.name]) for dial in dials if arrival.values]
            if waiting:
                came_s, dial, raw = waiting.popleft()
                dial.take(raw)
                board.move(dial.channel, dial.command(0.02) or 1500.0)
                latencies.append(1000.0 * (time.monotonic() - came_s))
    return latencies


class Endless:
    """A feed that always has a new value."""

    ended = False

    def __init__(self) -> None:
        self.counters = FeedCounters()

    def poll(self, wait_s: float) -> Arrival:
        """Return the next value."""
        self.counters.taken += 1
        return Arrival({"dial-0": float(self.counters.taken * 7 % 1000)}, time.monotonic())

    def close(self) -> None:
        """Nothing to let go of."""
