"""What a virtual board does wrong on request: a noisy line, a bad plug, a jamming servo, a weak supply."""

from __future__ import annotations

import random
from dataclasses import dataclass, fields
from typing import Self

from gaugecore.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class Misbehaviour:
    """How often each fault happens: probabilities from 0 to 1, drawn anew at every line or move.

    Attributes
    ----------
    drop : float
        A line is lost, either way.
    delay : float
        An answer comes late, by `delay_s` seconds.
    corrupt : float
        One to three bits of a line are turned, either way.
    duplicate : float
        An answer comes twice.
    cut : float
        An answer ends in the middle of the line.
    garbage : float
        Random bytes come before an answer.
    reset : float
        The board restarts instead of answering.
    hangup : float
        The connection ends: the cable is pulled.
    stall : float
        A movement jams on its way, until the next command.
    brownout : float
        The supply dips as a movement starts: the board restarts with the servo on its way.
    """

    drop: float = 0.0
    delay: float = 0.0
    delay_s: float = 0.7
    corrupt: float = 0.0
    duplicate: float = 0.0
    cut: float = 0.0
    garbage: float = 0.0
    reset: float = 0.0
    hangup: float = 0.0
    stall: float = 0.0
    brownout: float = 0.0

    @classmethod
    def parse(cls, text: str) -> Self:
        """Return what ``drop=0.01,delay=0.05`` asks for.

        Raises
        ------
        InputError
            If a name is unknown or a value is no probability.

        Examples
        --------
        >>> Misbehaviour.parse("drop=0.01,stall=0.5").stall
        0.5
        """
        names = [field.name for field in fields(cls)]
        values: dict[str, float] = {}
        for item in filter(None, text.split(",")):
            name, equals, number = item.partition("=")
            most = 60.0 if name == "delay_s" else 1.0
            try:
                value = float(number)
            except ValueError:
                value = -1.0
            if name not in names or not equals or not 0.0 <= value <= most:
                raise InputError(
                    "the board cannot be asked to misbehave like this",
                    found=item,
                    accepted="NAME=PROBABILITY, with a comma between, of " + ", ".join(names),
                )
            values[name] = value
        return cls(**values)


class Imp:
    """Draws the faults; the same seed draws the same ones.

    Parameters
    ----------
    misbehaviour : Misbehaviour
        How often.
    seed : int
        Of the draw.
    """

    def __init__(self, misbehaviour: Misbehaviour, seed: int) -> None:
        self.misbehaviour = misbehaviour
        self._draw = random.Random(f"imp {seed}")

    def happens(self, probability: float) -> bool:
        """Return whether it happens this time."""
        return probability > 0 and self._draw.random() < probability

    def on_the_wire(self, line: bytes) -> bytes:
        """Return a line as it comes out at the other end."""
        if self.happens(self.misbehaviour.drop):
            return b""
        if line and self.happens(self.misbehaviour.corrupt):
            spoilt = bytearray(line)
            for place in self._draw.sample(
                range(8 * len(line)), min(8 * len(line), self._draw.randint(1, 3))
            ):
                spoilt[place // 8] ^= 1 << place % 8
            return bytes(spoilt)
        return line

    def answer_lines(self, line: bytes) -> bytes:
        """Return an answer as the board sends it."""
        line = self.on_the_wire(line)
        if self.happens(self.misbehaviour.cut):
            line = line[: self._draw.randrange(len(line))] if line else line
        if self.happens(self.misbehaviour.garbage):
            line = self._draw.randbytes(self._draw.randint(1, 120)) + line
        return line * 2 if self.happens(self.misbehaviour.duplicate) else line

    def late_s(self) -> float:
        """Return by how much an answer is late, in seconds."""
        return self.misbehaviour.delay_s if self.happens(self.misbehaviour.delay) else 0.0

    def jam(self) -> float | None:
        """Return where on its way a movement jams, as a part of the way; None: it does not."""
        return self._draw.random() if self.happens(self.misbehaviour.stall) else None
