"""Talks to the runtime compiled for this machine, and knows in Python what it must do."""

from __future__ import annotations

import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

RELAXED, MOVING, STILL, HOMING = range(4)
PARTS = 128


class Tick(NamedTuple):
    """Where the needle is after a tick."""

    position: int
    state: int
    moved: int
    output: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """A `struct nw_setup`."""

    low: int = 2000
    high: int = 4000
    park: int = 3000
    speed: int = 2048
    change: int = 256
    silence_ticks: int = 0
    parks: bool = False
    starts_at_command: bool = False
    home_run: int = 0
    home_speed: int = 0
    hold_ticks: int = 0


class HostNeedle:
    """One needle in a process that reads lines."""

    def __init__(self, program: Path) -> None:
        self._process = subprocess.Popen(
            [program], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        self.state, self.output = RELAXED, 0

    def close(self) -> None:
        """End it; a sanitiser that found something shows here at the latest."""
        _, said = self._process.communicate(timeout=10)
        assert (self._process.returncode, said) == (0, "")

    def begin(self, setup: Setup) -> None:
        """Start anew."""
        s = setup
        numbers = (s.low, s.high, s.park, s.speed, s.change, s.silence_ticks, s.parks, s.starts_at_command)
        self._say("setup", *map(int, numbers), s.home_run, s.home_speed, s.hold_ticks)

    def command(self, command: int) -> bool:
        """Send a command; return whether it was taken."""
        return self._say("command", command)[0] == 1

    def raw(self, raw: int) -> None:
        """Send a raw value through a table that gives the value itself, two bytes of it."""
        self._say("raw", raw)

    def relax(self) -> None:
        self._say("relax")

    def home(self) -> None:
        self._say("home")

    def set_limits(self, low: int, high: int) -> None:
        self._say("limits", low, high)

    def ticks(self, count: int) -> list[Tick]:
        """Let time pass."""
        numbers = self._say("tick", count)[3:]
        ticks = [Tick(*numbers[i : i + 4]) for i in range(0, len(numbers), 4)]
        if ticks:
            self.state, self.output = ticks[-1].state, ticks[-1].output
        return ticks

    def _say(self, *words: object) -> list[int]:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(" ".join(map(str, words)) + "\n")
        self._process.stdin.flush()
        line = self._process.stdout.readline()
        if not line:
            assert self._process.stderr is not None
            raise AssertionError(f"the runtime died: {self._process.stderr.read()}")
        numbers = [int(word) for word in line.split()]
        self.state, self.output = numbers[1:3]
        return numbers


def next_speed(speed: int, gap: int, most: int, change: int) -> int:
    """Return the speed of the next tick, in parts with sign: the model, in exact whole numbers.

    The fastest approach to the target from which slowing down by ``change`` a tick still stops there; the
    bound is the one of docs/firmware.md. A plain search, where the firmware halves.
    """
    sign = -1 if gap < 0 else 1
    towards, left = sign * speed, abs(gap)
    if most == 0:
        return gap
    if change == 0:
        return sign * min(left, most)

    def stops(candidate: int) -> bool:
        if candidate <= change:
            return candidate <= left
        return 8 * change * left >= 4 * candidate**2 + 4 * change * candidate + 4 * ((change**2 + 3) // 4)

    fastest = min(towards + change, most)
    slowest = max(towards - change, min(0, fastest))
    while fastest > slowest and not stops(fastest):
        fastest -= 1
    return sign * fastest
