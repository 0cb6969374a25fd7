"""Moving one channel with care: in small steps, from the side that is asked for, until the needle rests."""

from __future__ import annotations

import time
from dataclasses import dataclass

from gaugecore.board.board import Board
from gaugecore.errors import BoardError


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """How a needle is moved, in command units and seconds.

    Attributes
    ----------
    step : float
        Longest step, so that a servo does not shoot over its target and come back from the wrong side.
    step_every_s : float
        Pause between steps; a servo looks at its pulse every 0.02 s.
    settle_s : float
        Rest before a reading.
    """

    step: float = 10.0
    step_every_s: float = 0.02
    settle_s: float = 0.7


#: A virtual servo does not shoot over, and says itself when it rests.
VIRTUAL_MANNER = Manner(step=5000.0, step_every_s=0.0, settle_s=0.0)

_ATTEMPTS = 4
#: A geared stepper of 4096 steps a turn that homes at 150 a second takes half a minute for each turn it has.
_LONGEST_MOVE_S = 120.0


class Mover:
    """Moves one channel of a board.

    Parameters
    ----------
    board : Board
        Connected.
    channel : int
        Which.
    manner : Manner or None
        How; None: as suits the board.
    """

    def __init__(self, board: Board, channel: int, manner: Manner | None = None) -> None:
        self._board, self._channel = board, channel
        self._manner = manner or (VIRTUAL_MANNER if board.identity.virtual else Manner())
        self.at: float | None = None

    def go(self, command: float) -> float:
        """Go to a command the short way; return it as the board took it."""
        return self._surely([command])

    def step(self, command: float) -> float:
        """Send a command that is near and do not wait for rest; for a walk that goes on at once."""
        self.at = self._board.move(self._channel, command)[0]
        return self.at

    def home(self) -> float:
        """Drive a stepper into its stop; return the command that is, 0."""
        self._board.home(self._channel)
        self.at = 0.0 if self._rest() else None
        return 0.0

    def approach(self, command: float, *, rising: bool, overrun: float, low: float, high: float) -> float:
        """Go to a command so that the last part of the way, `overrun` long, runs one way.

        Parameters
        ----------
        command : float
            Where to.
        rising : bool
            Whether the command rises on the last part.
        overrun : float
            How long it is; it must take up all slack and dead band.
        low, high : float
            The limits; near an end the last part is as long as they allow.

        Returns
        -------
        float
            The command as the board took it.
        """
        start = max(low, command - overrun) if rising else min(high, command + overrun)
        on_its_way = self.at is not None and (self.at <= start if rising else self.at >= start)
        return self._surely([command] if on_its_way else [start, command], again=[start, command])

    def _surely(self, way: list[float], again: list[float] | None = None) -> float:
        """Go a way; when the board was reset or relaxed meanwhile, go it again."""
        for _ in range(_ATTEMPTS):
            upsets = self._upsets()
            self.at = self._follow(way)
            if self.at is not None and self._upsets() == upsets:
                return self.at
            self.at, way = None, again or way
        raise BoardError(
            f"channel {self._channel} does not stay where it is put: the board restarts or relaxes each time",
            where=self._board.link.name,
            accepted="a supply that carries the servo, and a watchdog time the line can keep",
        )

    def _upsets(self) -> tuple[int, int]:
        return self._board.link.counters.restarts, self._board.link.counters.reconnections

    def _follow(self, way: list[float]) -> float | None:
        here = self.at
        for command in way:
            here = self._glide(here, command)
            if not self._rest():
                return None
        return here

    def _glide(self, here: float | None, command: float) -> float:
        step = self._manner.step
        while here is not None and abs(command - here) > step:
            here = self._board.move(self._channel, here + (step if command > here else -step))[0]
            time.sleep(self._manner.step_every_s)
        return self._board.move(self._channel, command)[0]

    def _rest(self) -> bool:
        """Wait until the needle rests; return False when the channel was relaxed instead."""
        deadline_s = time.monotonic() + _LONGEST_MOVE_S
        while (state := self._board.status(self._channel).state) == "moving":
            if time.monotonic() > deadline_s:
                raise BoardError(
                    f"channel {self._channel} does not come to rest",
                    where=self._board.link.name,
                    found=f"still moving after {_LONGEST_MOVE_S:g} s",
                    accepted="a needle that is free and a movement that is strong enough",
                )
            time.sleep(0.002)
        time.sleep(self._manner.settle_s)
        return state == "still"
