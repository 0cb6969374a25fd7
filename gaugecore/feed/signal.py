"""A signal generator, to show off a dial: no simulator needed."""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable, Sequence
from typing import Literal, get_args

from gaugecore.errors import InputError
from gaugecore.feed.feed import Arrival, Channel, FeedCounters

Shape = Literal["sine", "ramp", "steps", "walk"]
SHAPES: tuple[str, ...] = get_args(Shape)
_EVERY_S = 0.02


class SignalFeed:
    """Makes values for every channel, fifty times a second.

    Parameters
    ----------
    channels : sequence of Channel
        What to make values for.
    shape : str
        ``sine``; ``ramp``, up and down; ``steps``, from stop to stop; ``walk``, at random.
    period_s : float
        Of a whole swing; of a step; for a walk, the time it takes to forget where it was.
    seed : int
        Of the walk.
    clock : callable
        Monotonic seconds.

    Raises
    ------
    InputError
        If the shape or the period makes no sense.
    """

    ended = False

    def __init__(
        self,
        channels: Sequence[Channel],
        shape: str,
        *,
        period_s: float = 8.0,
        seed: int = 1,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        if shape not in SHAPES or not 0.1 <= period_s <= 3600:
            raise InputError(
                "there is no such signal",
                found=f"{shape} with period {period_s:g}",
                accepted=f"{', '.join(SHAPES)}; period 0.1 to 3600 s",
            )
        self.counters = FeedCounters()
        self._channels, self._shape, self._period_s = tuple(channels), shape, period_s
        self._clock = clock
        self._begun_s = clock()
        self._next_s = self._begun_s
        self._draw = random.Random(f"signal {seed}")
        self._walks = [0.0] * len(self._channels)

    def poll(self, wait_s: float) -> Arrival:
        """Return the values that are due, waiting for them at most `wait_s` seconds."""
        early_s = min(max(0.0, self._next_s - self._clock()), max(0.0, wait_s))
        if early_s > 0:
            time.sleep(early_s)
        now_s = self._clock()
        if now_s < self._next_s:
            return Arrival()
        steps = int((now_s - self._next_s) / _EVERY_S) + 1
        self._next_s += steps * _EVERY_S
        self.counters.taken += 1
        return Arrival(self.at(now_s - self._begun_s, steps=steps), now_s)

    def at(self, time_s: float, *, steps: int = 1) -> dict[str, float]:
        """Return the values at a time after the start; a walk goes on by `steps` fiftieths of a second."""
        return {
            channel.name: self._value(place, channel, time_s, steps)
            for place, channel in enumerate(self._channels)
        }

    def close(self) -> None:
        """Nothing to let go of."""

    def _value(self, place: int, channel: Channel, time_s: float, steps: int) -> float:
        turns = time_s / self._period_s
        if self._shape == "steps":
            stops = channel.stops or (channel.low, channel.high)
            there_and_back = (*stops, *stops[-2:0:-1])
            return there_and_back[int(turns) % len(there_and_back)]
        if self._shape == "sine":
            part = 0.5 - 0.5 * math.cos(math.tau * turns)
        elif self._shape == "ramp":
            part = 1.0 - abs(2.0 * (turns % 1.0) - 1.0)
        else:
            part = self._walked(place, min(steps, 500))
        return channel.low + part * (channel.high - channel.low)

    def _walked(self, place: int, steps: int) -> float:
        # an Ornstein-Uhlenbeck process with a spread of 1, so that it forgets and stays near the middle
        keep = math.exp(-_EVERY_S / self._period_s)
        for _ in range(steps):
            self._walks[place] = keep * self._walks[place] + self._draw.gauss(0.0, math.sqrt(1 - keep * keep))
        return min(max(0.5 + 0.25 * self._walks[place], 0.0), 1.0)
