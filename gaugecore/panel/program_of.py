"""The small program for exported tables: the C sources, and the needles.h that joins them."""

from __future__ import annotations

import math
from collections.abc import Sequence

from gaugecore.errors import TableError
from gaugecore.firmware import PROGRAM, sources
from gaugecore.firmware.needles import SETTINGS, TICKS_PER_US, Needle, needles_header
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import CoilDrive, Stepper
from gaugecore.table.c import raw_type
from gaugecore.table.colophon import identifier
from gaugecore.table.integer import Table

#: What the sources' own page is called beside a user's files, where a README.md is the user's.
GUIDE = "firmware.md"

#: What leaves room in 16 bits for the sixteenth more that homing runs.
_MOST_STEPS = 0xFFFF * 16 // 17
#: Room for the last bits of binary fractions: 29° of 720 steps a turn are 58 steps, not 59.
_ROUNDING = 1e-6

Moved = tuple[Table, Servo | Stepper | None]
"""A table and the movement it is for, None when only a fit is known."""


def program_of(moved: Sequence[Moved]) -> dict[str, bytes]:
    """Return the sources of the small program for some tables, content by file name.

    Parameters
    ----------
    moved : sequence of (Table, movement)
        The tables whose headers lie beside them, servos first: at most four servos and one stepper.

    Raises
    ------
    TableError
        If the program cannot move these needles; the message says why.
    """
    needles = [_needle(table, movement) for table, movement in moved]
    files = sources(*PROGRAM)
    files[GUIDE] = files.pop("README.md")
    return {**files, SETTINGS: needles_header(needles).encode("ascii")}


def _needle(table: Table, movement: Servo | Stepper | None) -> Needle:
    name = identifier(table.origin.name)
    needle = Needle(
        identifier=name,
        unit=table.unit,
        both_ways=table.down is not None,
        raw_type=raw_type(table.places),
        lowest=table.limits.lowest,
    )
    if table.unit != "steps":
        if table.unit == "ticks" and table.ticks_per_unit != TICKS_PER_US:
            raise TableError(
                "the small program's timer counts half microseconds",
                where=name,
                found=f"{table.ticks_per_unit:g} ticks a microsecond",
                accepted="a table in µs, or --timer-hz 2000000; other timers need a sketch of your own",
            )
        return needle
    return _stepper(needle, movement)


def _stepper(needle: Needle, movement: Servo | Stepper | None) -> Needle:
    """Return a stepper's needle; only its movement says how far the stop is, or whether there is one."""
    if not isinstance(movement, Stepper):
        raise TableError(
            "the small program must know the stepper to home it",
            where=needle.identifier,
            accepted="a table from a panel, which names the movement",
        )
    if not movement.has_stop or movement.drive is not CoilDrive.PINS or movement.microsteps != 1:
        raise TableError(
            "the small program moves steppers on four pins, in full steps, that home against a stop",
            where=needle.identifier,
            found=f"{movement.name}: {'a' if movement.has_stop else 'no'} stop, {movement.microsteps} "
            f"microsteps, coils on {movement.drive.value}",
            accepted="such a movement, or a sketch of your own",
        )
    travel_steps = math.ceil(movement.travel_deg / 360.0 * movement.steps_per_turn - _ROUNDING)
    if travel_steps > _MOST_STEPS:
        raise TableError(
            "the small program counts the way to the stop in 16 bits",
            where=needle.identifier,
            found=f"{movement.name}: {travel_steps} steps from stop to stop",
            accepted=f"at most {_MOST_STEPS} steps, or a sketch of your own",
        )
    return Needle(
        identifier=needle.identifier,
        unit="steps",
        both_ways=needle.both_ways,
        raw_type=needle.raw_type,
        lowest=needle.lowest,
        travel_steps=travel_steps,
        # a speed of none would be a needle that never moves
        speed_per_s=max(1, int(movement.most_steps_per_s)),
        home_per_s=max(1, int(movement.home_steps_per_s)),
    )
