"""The ferry's bridge desk as needles of the small program: two servos and a stepper."""

from __future__ import annotations

from gaugecore.firmware.needles import Needle, needles_header
from gaugecore.table.c import raw_type
from gaugecore.table.colophon import identifier
from gaugecore.table.integer import Table
from tests.firmware import dials

TRAVEL_STEPS = 945


def desk_header() -> str:
    """Return needles.h for rudder, shaft speed and fuel."""
    tables = ((dials.rudder(), 0), (dials.shaft_speed(), 0), (dials.fuel(), TRAVEL_STEPS))
    return needles_header([_needle(table, travel_steps) for table, travel_steps in tables])


def _needle(table: Table, travel_steps: int) -> Needle:
    return Needle(
        identifier=identifier(table.origin.name),
        unit=table.unit,
        both_ways=table.down is not None,
        raw_type=raw_type(table.places),
        travel_steps=travel_steps,
        speed_per_s=400 if travel_steps else 2000,
        change_per_s2=4000 if travel_steps else 20_000,
    )
