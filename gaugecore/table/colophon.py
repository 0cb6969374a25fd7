"""What every written table says about itself: where it comes from, how good it is, and how to test it.

The block is plain ASCII on single lines, and nothing in it can end a comment, whatever a title holds.
"""

from __future__ import annotations

import binascii
import math

import numpy as np

from gaugecore.calibration.readings import Direction
from gaugecore.table.integer import Table
from gaugecore.table.places import Integers

_SELF_TESTS = 13


def identifier(name: str) -> str:
    """Return a name that is an identifier in C and in Python, and a keyword in neither.

    Examples
    --------
    >>> identifier("shaft-speed")
    'nw_shaft_speed'
    """
    return "nw_" + name.replace("-", "_")


def directions(table: Table) -> tuple[Direction, ...]:
    """Return the directions that have a map of their own."""
    return (Direction.UP,) if table.down is None else (Direction.UP, Direction.DOWN)


def rows(table: Table) -> tuple[Integers, list[Integers]]:
    """Return the lowest raw value of every cell, rising, and the commands of each direction beside it."""
    first = np.minimum(*table.places.cell_ends())
    order = slice(None, None, -1) if table.places.falling else slice(None)
    return first[order], [table.cell_outputs(direction)[order] for direction in directions(table)]


def crc32(table: Table) -> int:
    """Return the CRC-32 of every output by rising raw value, up then down; two bytes each, low byte first."""
    data = b"".join(outputs.astype("<u2").tobytes() for outputs in rows(table)[1])
    return binascii.crc32(data)


def self_test(table: Table) -> list[tuple[int, ...]]:
    """Return (raw value, command of each direction) at both ends and evenly between."""
    places = table.places
    raws = sorted({places.raw_low + places.span * i // (_SELF_TESTS - 1) for i in range(_SELF_TESTS)})
    return [(raw, *(table.command(raw, direction) for direction in directions(table))) for raw in raws]


def colophon(table: Table) -> list[str]:
    """Return the lines of the comment block."""
    unit = table.unit if table.unit != "ticks" else "timer ticks"
    worst = f"{rounded_up(table.worst_error):g} {unit}"
    if table.unit == "ticks":
        worst += f" ({rounded_up(table.worst_error_in_commands):g} us, {table.ticks_per_unit:g} ticks a us)"
    origin = table.origin
    lines = [
        "Raw value to command, made by Needlewright; make it again rather than change it.",
        f"panel: {plain(origin.panel) or 'none'}",
        f"instrument: {plain(origin.instrument) or 'none'} ({plain(origin.name)})",
        f"readings taken: {plain(origin.fitted_on) or 'not stated'}",
        f"raw values: {table.places.raw_low} to {table.places.raw_high}, clamped to these outside",
        f"commands: {unit}, limits {table.limits.lowest} to {table.limits.highest}",
        f"worst error against the fit, every raw value, rounding included: {worst}",
        f"CRC-32 of all outputs: 0x{crc32(table):08X}",
    ]
    if table.pinned_raw:
        lines.insert(7, "exact to the nearest whole at raw: " + " ".join(str(r) for r in table.pinned_raw))
    if table.down is not None:
        lines.insert(7, f"up is used as the dial angle rises, hysteresis {table.hysteresis} raw")
    lines += [
        "A moving needle: keep fingers and wires out of the sweep.",
        "Not for use in a real aircraft, vehicle or vessel.",
    ]
    return lines


def rounded_up(value: float) -> float:
    """Return a figure to four decimals that is never below the true one."""
    return math.ceil(value * 1e4 - 1e-6) / 1e4


def plain(text: str) -> str:
    r"""Return text as one line of ASCII that cannot end or continue a comment in C or Python.

    Examples
    --------
    >>> plain("fuel */ #if ??/ \\ µ")
    'fuel * / #if ? ?/ / \\xb5'
    """
    line = " ".join(text.replace("\\", "/").split())
    line = line.encode("ascii", "backslashreplace").decode("ascii")
    line = "".join(ch if " " <= ch <= "~" else " " for ch in line)
    line = line.replace("*/", "* /").replace("/*", "/ *")
    while "??" in line:  # a trigraph would turn into something else before the compiler sees a comment
        line = line.replace("??", "? ?")
    return line
