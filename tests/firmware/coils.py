"""Reads steps off the four coil pins of a stepper."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import accumulate, pairwise

#: The six states of a gauge stepper, in turn (nw_coils.h).
_ORDER = (0x9, 0x1, 0x7, 0x6, 0xE, 0x8)


def steps_of(states: Iterable[tuple[int, int]]) -> list[int]:
    """Return +1 or -1 for each change of state; one that passes a state over is an error."""
    steps = []
    for before, after in pairwise([bits for _, bits in states if bits]):
        apart = (_ORDER.index(after) - _ORDER.index(before)) % len(_ORDER)
        assert apart in (1, len(_ORDER) - 1), "a coil state was passed over"
        steps.append(1 if apart == 1 else -1)
    return steps


def places_of(steps: list[int]) -> list[int]:
    """Return where each step leads, counted from the start."""
    return list(accumulate(steps))
