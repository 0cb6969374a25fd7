"""The plan: which targets to read next, from which side.

What simulated drives taught: different marks up and down, none shared, since two equal slips on one mark
cannot be seen; find the stops first and stay inside; what matters then is the number of readings, not a
clever order.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gaugecore.calibration.readings import Direction, Held, Reading
from gaugecore.errors import ReadingsError

#: Fewest readings a cycle may have: fewer than this make no fit.
FEWEST_READINGS = 5
MOST_READINGS = 10_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """One reading to take.

    Attributes
    ----------
    command : float
        What to send, in µs or steps.
    direction : Direction
        How the needle has to arrive.
    cycle : int
        Number of the cycle, from 1.
    """

    command: float
    direction: Direction
    cycle: int


def staggered_plan(
    low_command: float, high_command: float, *, readings: int, clockwise_with_command: bool, cycles: int = 1
) -> tuple[Target, ...]:
    """Return targets that sweep up and back, no target shared between the two directions.

    Parameters
    ----------
    low_command, high_command : float
        Ends of the sweep, both inside the mechanical stops; the ends are targets.
    readings : int
        Readings a cycle, both directions together.
    clockwise_with_command : bool
        Whether the dial angle rises with the command.
    cycles : int
        How often the whole is repeated; from 3 the repeatability can be told.

    Returns
    -------
    tuple of Target
        In the order to take them: up along the arc, then down, cycle by cycle. The needle starts beyond the
        first target, at the end of the sweep where the dial angle is smallest.

    Raises
    ------
    ReadingsError
        If there is no range, or too few or too many readings are asked for.

    Examples
    --------
    >>> [(t.command, t.direction.value) for t in staggered_plan(1000, 2000, readings=6,
    ...                                                          clockwise_with_command=True)]
    [(1200.0, 'up'), (1600.0, 'up'), (2000.0, 'up'), (1800.0, 'down'), (1400.0, 'down'), (1000.0, 'down')]
    """
    if not low_command < high_command:
        raise ReadingsError(
            "the plan needs a range of commands",
            found=f"{low_command:g} to {high_command:g}",
            accepted="a low command below the high one",
        )
    if not FEWEST_READINGS <= readings <= MOST_READINGS or cycles < 1 or readings * cycles > MOST_READINGS:
        raise ReadingsError(
            "the plan cannot have so many readings",
            found=f"{readings} readings in {cycles} cycles",
            accepted=f"at least {FEWEST_READINGS} a cycle and {MOST_READINGS} in all",
        )
    # position 0, the end with the smallest dial angle, is reached on the way down; the other on the way up
    even = np.linspace(low_command, high_command, readings)
    along = even if clockwise_with_command else even[::-1]
    is_up = np.arange(readings) % 2 == 1
    is_up[-1] = True
    up = [Target(command=float(c), direction=Direction.UP, cycle=1) for c in along[is_up]]
    down = [Target(command=float(c), direction=Direction.DOWN, cycle=1) for c in along[~is_up][::-1]]
    return tuple(
        Target(command=t.command, direction=t.direction, cycle=cycle)
        for cycle in range(1, cycles + 1)
        for t in up + down
    )


#: How far a command may lie from its target, in µs or steps: both are rounded to what a board can send.
_SAME_COMMAND = 1.0


def places_in(targets: Sequence[Target], readings: Sequence[Reading], *, where: str = "") -> tuple[int, ...]:
    """Return for each reading the index of the target it was taken at; targets may have been left out.

    Parameters
    ----------
    targets : sequence of Target
        The plan.
    readings : sequence of Reading
        In the order they were taken.
    where : str
        The file they are from, for messages.

    Raises
    ------
    ReadingsError
        If a reading is none of this plan: another range, other counts, or another order.
    """
    places: list[int] = []
    for row, reading in enumerate(readings, start=1):
        start = places[-1] + 1 if places else 0
        place = next((at for at in range(start, len(targets)) if _is_at(targets[at], reading)), None)
        if _is_from_a_chosen_side(targets, start, place, reading):
            place = start
        if place is None:
            raise ReadingsError(
                f"row {row} of the readings that are there is none of this plan",
                where=where,
                found=f"command {reading.command:g}, {reading.direction.value or 'any way'}, "
                f"cycle {reading.cycle if reading.cycle is not None else 'unknown'}",
                accepted="the range, readings and cycles that they were begun with, or a new file",
            )
        places.append(place)
    return tuple(places)


def _is_at(target: Target, reading: Reading) -> bool:
    if (target.direction, target.cycle) != (reading.direction, reading.cycle):
        return False
    # a needle that was jogged onto a mark has any command about its target's
    return reading.held is Held.ANGLE or abs(target.command - reading.command) <= _SAME_COMMAND


def _is_from_a_chosen_side(
    targets: Sequence[Target], start: int, place: int | None, reading: Reading
) -> bool:
    """Return whether a jogged needle was brought to the target in hand from the side it did not ask for."""
    if reading.held is not Held.ANGLE or start >= len(targets) or targets[start].cycle != reading.cycle:
        return False
    off = abs(targets[start].command - reading.command)
    return place is None or off < abs(targets[place].command - reading.command)
