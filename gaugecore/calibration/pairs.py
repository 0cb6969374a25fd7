"""Fit from (raw value, command) pairs: the simulator is put at a known state, the needle jogged to it.

The raw value says which dial angle the needle stands on, so a pair is a reading with the angle held.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Annotated

from pydantic import Field

from gaugecore.calibration.csv_rows import Columns, parse_rows
from gaugecore.calibration.readings import Direction, Held, Reading
from gaugecore.values import Caption, Part, Quantity

COLUMNS = Columns(
    names=("raw", "command", "direction", "cycle", "note"),
    numbers=("raw", "command"),
    words={"direction": Direction},
)


class RawPair(Part):
    """One pair: under ``command`` the needle showed what the simulator gives as ``raw``."""

    raw: Quantity
    command: Quantity
    direction: Direction = Direction.UNKNOWN
    cycle: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    note: Caption = ""


def parse_pairs(text: str, *, where: str) -> tuple[RawPair, ...]:
    r"""Return the pairs in the text of a file like a readings file, with a column ``raw`` for ``angle_deg``.

    Raises
    ------
    ReadingsError
        As for a readings file.

    Examples
    --------
    >>> parse_pairs("raw,command,direction\n0,1200,up\n", where="p.csv")[0].raw
    0.0
    """
    return parse_rows(text, where=where, columns=COLUMNS, row=RawPair)


def readings_of_pairs(
    pairs: Sequence[RawPair], angle_of_raw: Callable[[float], float]
) -> tuple[Reading, ...]:
    """Return pairs as readings.

    Parameters
    ----------
    pairs : sequence of RawPair
        In the order they were taken.
    angle_of_raw : callable
        Dial angle in degrees that the instrument shows for a raw value.
    """
    return tuple(
        Reading(
            command=pair.command,
            angle_deg=float(angle_of_raw(pair.raw)),
            direction=pair.direction,
            cycle=pair.cycle,
            held=Held.ANGLE,
            note=pair.note,
        )
        for pair in pairs
    )
