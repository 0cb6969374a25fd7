"""Tables in the simulated ATmega328P and ATmega2560: the same integers as Python, in the cycles promised."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from gaugecore.table.c import raw_type
from gaugecore.table.choose import make_table
from gaugecore.table.colophon import identifier
from gaugecore.table.integer import Table
from tests.table.catalogue import catalogue
from tests.table.curves import CURVES, order, table_a, target_of
from tests.table.machines import MCUS, RET_BYTES, AvrProgram, avr_cost, avr_source, branches
from tests.table.naive import NO_TABLE, naive_source


def raws_of(table: Table) -> range:
    """Return every raw value of a two-byte argument, a stride of a four-byte one."""
    kind = raw_type(table.places)
    if kind == "uint16_t":
        return range(0, 0x10000)
    if kind == "int16_t":
        return range(-0x8000, 0x8000)
    low, high = table.places.raw_low, table.places.raw_high
    return range(low, high + 1, max(1, (high - low) // 9973))


@pytest.mark.slow
@pytest.mark.parametrize("mcu", MCUS)
def test_every_form_gives_the_integers_of_the_python_model_in_the_simulator(mcu: str) -> None:
    tables = catalogue()
    program = AvrProgram.of(mcu, avr_source(tables))
    for table in tables:
        raws = raws_of(table)
        argument_bytes = 4 if raw_type(table.places) == "int32_t" else 2
        for branch, direction in branches(table):
            function = f"call_{identifier(table.origin.name)}_{branch}"
            found, _ = program.call(function, raws, argument_bytes)
            wanted = table.commands(np.arange(raws.start, raws.stop, raws.step), direction) & 0xFFFF
            np.testing.assert_array_equal(found, wanted, err_msg=f"{table.origin.name} {branch} on {mcu}")


# targets set from measurements of a prototype: error in µs, most flash bytes, most mean cycles
@pytest.mark.slow
@pytest.mark.parametrize(("error_us", "flash", "cycles"), [(0.5, 164, 52), (1.0, 114, 50), (2.0, 112, 50)])
def test_the_default_form_of_curve_a_keeps_its_targets(error_us: float, flash: int, cycles: int) -> None:
    table = table_a(2.0 * error_us)
    program = AvrProgram.of("atmega328p", avr_source([table]))
    _, spent = program.call("call_nw_curve_a_command", range(0x10000))
    assert table.worst_error_in_commands <= error_us
    assert avr_cost(table) <= flash
    assert spent.mean() <= cycles


@pytest.mark.slow
@pytest.mark.parametrize("error_us", [0.5, 1.0, 2.0])
def test_it_takes_forty_times_fewer_cycles_than_a_naive_float_table_in_the_same_run(error_us: float) -> None:
    # both keep the same bound over every raw value; seen: 61, 47 and 42 times
    naive = AvrProgram.of("atmega328p", naive_source(2.0 * error_us))
    outputs, slow = naive.call("naive", range(0x10000))
    assert target_of(CURVES["curve-a"]).errors(outputs).max() <= 2.0 * error_us
    table = AvrProgram.of("atmega328p", avr_source([table_a(2.0 * error_us)]))
    _, quick = table.call("call_nw_curve_a_command", range(0x10000))
    assert slow.mean() >= 40 * quick.mean()


MEASURED = (
    "curve-a-free",
    "fine-0",
    "noisy-finer",
    "curve-a-finer-whole",
    "signed-even",
    "wide-even",
    "all-raw-free",
    "high-free",
    "both-narrow",
    "both-kinked",
    "straight-pieces-free",
)


@pytest.mark.slow
def test_the_bytes_of_flash_that_are_stated_are_never_too_few_and_not_far_off() -> None:
    tables = [table for table in catalogue() if table.origin.name in MEASURED]
    assert len(tables) == len(MEASURED)
    for table, mcu in zip(tables, MCUS * len(tables), strict=False):
        cost = avr_cost(table, mcu)
        assert cost <= table.flash_bytes <= cost + 48, f"{table.origin.name} on {mcu}"


@dataclass(frozen=True, slots=True)
class Ratios:
    """What is kept, as a share of what a naive float table takes for the same curve and bound."""

    bytes: float
    cycles: float
    pieces: float


@cache
def ratios(name: str, ticks: float) -> Ratios:
    curve, target = CURVES[name], target_of(CURVES[name])
    table = make_table([target], order("kept", ticks))
    naive = AvrProgram.of("atmega328p", naive_source(ticks, curve))
    _, slow = naive.call("naive", range(0, 0x10000, 7))
    _, quick = AvrProgram.of("atmega328p", avr_source([table])).call(
        "call_nw_kept_command", range(0, 0x10000, 7)
    )
    without = AvrProgram.of("atmega328p", NO_TABLE).flash_bytes() - RET_BYTES
    points = table.points[0]
    return Ratios(
        bytes=avr_cost(table) / (naive.flash_bytes() - without),
        cycles=float(quick.mean() / slow.mean()),
        pieces=points.pieces / points.fewest,
    )


BOUNDS = (1.0, 2.0, 4.0)


@pytest.mark.slow
@pytest.mark.parametrize(("name", "pieces"), [("kinked", 1), ("straight-pieces", 1), ("noisy", 1.08)])
def test_other_curves_do_as_well_against_the_naive_table_as_curve_a(name: str, pieces: float) -> None:
    others = [ratios(name, ticks) for ticks in BOUNDS]
    of_a = [ratios("curve-a", ticks) for ticks in BOUNDS]
    assert max(other.cycles for other in others) <= 1 / 40
    assert max(other.bytes for other in others) <= max(a.bytes for a in of_a)
    assert max(other.pieces for other in others) <= pieces
