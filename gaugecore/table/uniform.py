"""Uniform tables: knots at even spacing, any number of them, two neighbours joined by a byte-sized step.

The place times ``n`` has the interval in its high byte and the fraction in the next one or two, so the
firmware needs a few byte multiplications, no division and no search. Where all knots lie within a byte of a
straight line, only their distances from that line are stored, a byte each; the outputs are the same to the
last bit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gaugecore.table.places import Integers

#: The interval must fit a byte.
MOST_INTERVALS = 255
#: The step from knot to knot must fit a byte.
MOST_STEP = 255
_MOST_BYTE = 255
#: Bits of the fraction: those of a byte, or all there are.
COARSE, FINER = 8, 16
_ALL_BITS = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Uniform:
    """A table with knots at even spacing.

    Attributes
    ----------
    n : int
        Intervals in the full range of 65,536 places.
    knots : tuple of int
        Fine outputs at the knots, less the offset, rising by at most 255; one more than the intervals in use.
    fine_bits : int
        Knots count in this fraction of an output unit: halves for 1, quarters for 2.
    fraction_bits : int
        `COARSE` or `FINER`: how finely a place between two knots is told.
    offset : int
        What is added to every output, in output units.
    line_step : int or None
        Rise from knot to knot of the straight line they are stored against, a byte each; None: they are
        stored whole, two bytes each.
    """

    n: int
    knots: tuple[int, ...]
    fine_bits: int = 0
    fraction_bits: int = COARSE
    offset: int = 0
    line_step: int | None = None

    @property
    def size(self) -> int:
        """Return the number of entries."""
        return len(self.knots)

    @property
    def line_start(self) -> int:
        """Return the line's height at the first knot, so that no distance from it is negative."""
        return min(self._above(self.line_step or 0))

    @property
    def distances(self) -> tuple[int, ...]:
        """Return how far each knot lies above the line; a byte each where ``line_step`` is given."""
        return tuple(above - self.line_start for above in self._above(self.line_step or 0))

    def outputs(self, places: Integers) -> Integers:
        """Return the integers at places, bit for bit what the firmware computes."""
        scaled = (places * self.n) >> (_ALL_BITS - self.fraction_bits)
        interval, fraction = scaled >> self.fraction_bits, scaled & ((1 << self.fraction_bits) - 1)
        knots = np.asarray(self.knots, dtype=np.int64)
        below = knots[interval]
        fine = below + (((knots[interval + 1] - below) * fraction) >> self.fraction_bits)
        return np.asarray((fine >> self.fine_bits) + self.offset)

    def _above(self, step: int) -> list[int]:
        return [knot - i * step for i, knot in enumerate(self.knots)]


def with_bytes(forms: Sequence[Uniform]) -> list[Uniform]:
    """Return the same tables stored a byte a knot against lines of one common step, where they can be."""
    steps = np.arange(MOST_STEP + 1)[:, None]
    widest = np.zeros(MOST_STEP + 1, dtype=np.int64)
    for form in forms:
        above = np.asarray(form.knots)[None, :] - steps * np.arange(form.size)[None, :]
        widest = np.maximum(widest, np.ptp(above, axis=1))
    step = int(np.argmin(widest))
    if widest[step] > _MOST_BYTE:
        return list(forms)
    return [replace(form, line_step=step) for form in forms]
