"""Writes needles.h, which joins exported tables to the small program: one setting for each needle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from gaugecore.errors import TableError

#: The file it writes: what the user changes, speeds, parking, silence.
SETTINGS = "needles.h"
#: Ticks of 0.5 µs that the program's pulses count in.
TICKS_PER_US = 2
_MOST_SERVOS, _MOST_STEPPERS = 4, 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Needle:
    """A table and what it moves.

    Attributes
    ----------
    identifier : str
        What the names in the exported header begin with, such as ``nw_rudder``; also the header's name.
    unit : {"us", "ticks", "steps"}
        What the table gives: µs, ticks of 0.5 µs, or steps.
    both_ways : bool
        Whether the table has a map for each direction.
    raw_type : str
        The C type of raw values in the header.
    travel_steps : int
        A stepper's steps from stop to stop; 0 for a servo.
    speed_per_s : int
        Fastest the command may change, µs or steps a second.
    change_per_s2 : int
        Fastest that speed may change, µs or steps a second, each second.
    home_per_s : int
        Speed of a stepper's homing, steps a second: slow, since it ends against the stop.
    lowest : int
        Lowest command of the table; the program's commands have no sign.
    """

    identifier: str
    unit: Literal["us", "ticks", "steps"]
    both_ways: bool
    raw_type: str
    travel_steps: int = 0
    speed_per_s: int = 1000
    change_per_s2: int = 10_000
    home_per_s: int = 150
    lowest: int = 0


def needles_header(needles: Sequence[Needle]) -> str:
    """Return needles.h for needles in the order of their pins, servos first.

    Raises
    ------
    TableError
        If there are more than the board's pins serve, if a stepper stands before a servo, or if a command is
        negative.
    """
    _check(needles)
    steppers = [needle for needle in needles if needle.unit == "steps"]
    servos = [needle for needle in needles if needle.unit != "steps"]
    parts = [
        _HEAD,
        "".join(f'#include "{needle.identifier}.h"\n' for needle in needles),
        f"#define NEEDLE_SERVOS {len(servos)}\n#define NEEDLE_STEPPERS {len(steppers)}\n",
        *(_table_function(needle) for needle in needles),
        "/* In the order of the pins and of the values on a line. */\n"
        f"static const struct nw_setup needle_setups[{len(needles)}] = {{\n"
        + "".join(_setup(needle) for needle in needles)
        + "};\n",
        "#endif\n",
    ]
    return "\n".join(parts)


def _check(needles: Sequence[Needle]) -> None:
    steps = [needle.unit == "steps" for needle in needles]
    n_servos, n_steppers = steps.count(False), steps.count(True)
    if not needles or n_servos > _MOST_SERVOS or n_steppers > _MOST_STEPPERS:
        raise TableError(
            "the small program cannot move these needles",
            where=SETTINGS,
            found=f"{n_servos} servos and {n_steppers} steppers",
            accepted=f"1 to {_MOST_SERVOS} servos and up to {_MOST_STEPPERS} stepper in all",
        )
    if steps != sorted(steps):
        raise TableError(
            "the needles are not in the order of the pins",
            where=SETTINGS,
            found="a stepper before a servo",
            accepted="servos first, then the stepper",
        )
    for needle in needles:
        if needle.lowest < 0:
            raise TableError(
                "the small program's commands have no sign",
                where=needle.identifier,
                found=f"a command of {needle.lowest}",
                accepted="limits from 0 up; the header alone, in a sketch of your own, has no such limit",
            )


_HEAD = """\
/*
 * The needles of the small program (needle_main.c): change speeds, parking and silence as you like.
 *
 * speed and change: how fast the command may change. silence_ticks: without a value for so long the needle
 * does what loss says, NW_RELAX or NW_PARK. start: the first pulse is at the parked place, or at the command.
 * hold_ticks: how long it stays there, so that the needle can arrive, before it goes on.
 */
#ifndef NEEDLES_H
#define NEEDLES_H

#include "nw_needle.h"
"""


def _table_function(needle: Needle) -> str:
    name, cast = needle.identifier, f"({needle.raw_type})raw"
    value = f"{name}_follow(&{name}_side_now, {cast})" if needle.both_ways else f"{name}_command({cast})"
    side = f"static struct {name}_side {name}_side_now;\n\n" if needle.both_ways else ""
    scaled = f"{value} * {TICKS_PER_US}" if needle.unit == "us" else value
    return f"{side}static uint16_t {name}_table(int32_t raw)\n{{\n    return (uint16_t)({scaled});\n}}\n"


def _setup(needle: Needle) -> str:
    upper = needle.identifier.upper()
    kind = "STEPPER" if needle.unit == "steps" else "SERVO"
    scale = f" * {TICKS_PER_US}" if needle.unit == "us" else ""
    lines = [
        f".table = {needle.identifier}_table",
        f".raw_low = {upper}_RAW_LOW",
        f".raw_high = {upper}_RAW_HIGH",
        f".low = (uint16_t)({upper}_LOWEST{scale})",
        f".high = (uint16_t)({upper}_HIGHEST{scale})",
        f".park = (uint16_t)({upper}_LOWEST{scale})",
        f".speed = NW_{kind}_SPEED({needle.speed_per_s}UL)",
        f".change = NW_{kind}_CHANGE({needle.change_per_s2}UL)",
        f".silence_ticks = NW_{kind}_SILENCE(2000UL)",
        ".loss = NW_RELAX",
        ".start = NW_START_AT_PARK",
        ".hold_ticks = 15u",
    ]
    if needle.unit == "steps":
        lines.append(f".home_run = {needle.travel_steps + needle.travel_steps // 16}u")
        lines.append(f".home_speed = NW_STEPPER_SPEED({needle.home_per_s}UL)")
    return (
        f"    {{ /* {needle.identifier} */\n" + "".join(f"        {line},\n" for line in lines) + "    },\n"
    )
