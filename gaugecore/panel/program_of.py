"""The small program for exported tables: the C sources, and the needles.h that joins them."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.firmware import PROGRAM, sources
from gaugecore.firmware.needles import SETTINGS, Needle, needles_header
from gaugecore.table.c import raw_type
from gaugecore.table.colophon import identifier
from gaugecore.table.integer import Table

#: Steps from stop to stop of a gauge stepper (1/3° a step over 315°: several public firmware sources).
_TRAVEL_STEPS = 945


def program_of(tables: Sequence[Table]) -> dict[str, bytes]:
    """Return the sources of the small program for some tables, content by file name.

    Parameters
    ----------
    tables : sequence of Table
        The tables whose headers lie beside them, servos first: at most four servos and one stepper.

    Raises
    ------
    TableError
        If the program cannot move these needles; the message says why.
    """
    needles = [
        Needle(
            identifier=identifier(table.origin.name),
            unit=table.unit,
            both_ways=table.down is not None,
            raw_type=raw_type(table.places),
            travel_steps=_TRAVEL_STEPS if table.unit == "steps" else 0,
            lowest=table.limits.lowest,
        )
        for table in tables
    ]
    return {**sources(*PROGRAM), SETTINGS: needles_header(needles).encode("ascii")}
