"""Tables side by side on curve A: what a maker writes first, what libraries do, and what this project keeps.

Cycles and flash are measured in the simulated ATmega328P; worst errors, in µs, over every raw value, rounding
included; the time is what making the table takes here. The general least-squares library takes minutes on all
samples, so it gets some of them.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from rich.console import Console
from rich.table import Table as Sheet

from gaugecore.table.choose import make_table
from gaugecore.table.flash import flash_bytes
from gaugecore.table.integer import Form, Origin, Table
from gaugecore.table.pieces import fewest_pieces
from gaugecore.table.spacing import fewest_intervals
from gaugecore.table.uniform import with_bytes
from tests.table.curves import TICKS_PER_US, curve_a, order, target_of, tunnel_of
from tests.table.machines import RET_BYTES, AvrProgram, avr_cost, avr_source
from tests.table.naive import NO_TABLE, long_points, long_source, naive_points, naive_source

_MCU = "atmega328p"
_PWLF_SAMPLES = 1000
_PWLF_PIECES = 12
T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One rival at one error bound."""

    name: str
    entries: int
    flash: int | None = None
    cycles: float | None = None
    worst_us: float
    seconds: float


def run() -> None:
    """Print the comparison."""
    sheet = Sheet(title=f"Curve A, 65,536 raw values, {_MCU}")
    for column in ("bound µs", "table", "entries", "flash B", "mean cycles", "worst error µs", "made in s"):
        sheet.add_column(column, justify="left" if column == "table" else "right")
    for bound_us in (0.5, 1.0, 2.0):
        for line in _lines(bound_us):
            sheet.add_row(
                f"{bound_us:g}",
                line.name,
                str(line.entries),
                "" if line.flash is None else str(line.flash),
                "" if line.cycles is None else f"{line.cycles:.0f}",
                f"{line.worst_us:.3f}",
                f"{line.seconds:.3f}",
            )
        sheet.add_section()
    Console().print(sheet)


def _lines(bound_us: float) -> list[Line]:
    ticks = bound_us * TICKS_PER_US
    lines = [
        _rival("float points, linear search", naive_source, lambda: len(naive_points(ticks)[0]), ticks),
        _rival("32-bit multiply and divide", long_source, lambda: len(long_points(ticks)[0]), ticks),
    ]
    tunnel = tunnel_of(target_of(curve_a), ticks)
    free, seconds = _timed(lambda: fewest_pieces(tunnel))
    if free is not None:
        lines.append(_pwlf(free.size))
        lines.append(_own("free knots", free, seconds))
    for fine_bits in (0, 1):
        spaced, seconds = _timed(lambda bits=fine_bits: fewest_intervals([tunnel], offset=0, fine_bits=bits))
        if spaced is not None:
            name = "uniform" if fine_bits == 0 else "uniform, half ticks"
            lines.append(_own(name, with_bytes(spaced)[0], seconds))
    kept, seconds = _timed(lambda: make_table([target_of(curve_a)], order("kept", ticks)))
    lines.append(_measured("kept (both fitted)", kept, seconds))
    return lines


def _rival(
    name: str, source: Callable[[float], dict[str, str | bytes]], count: Callable[[], int], ticks: float
) -> Line:
    files, seconds = _timed(lambda: source(ticks))
    program = AvrProgram.of(_MCU, files)
    outputs, cycles = program.call("naive", range(0x10000))
    flash = program.flash_bytes() - AvrProgram.of(_MCU, NO_TABLE).flash_bytes() + RET_BYTES
    worst = float(target_of(curve_a).errors(outputs).max()) / TICKS_PER_US
    return Line(
        name=name, entries=count(), flash=flash, cycles=float(cycles.mean()), worst_us=worst, seconds=seconds
    )


def _pwlf(n: int) -> Line:
    """Return what the general least-squares library makes of as many segments as are proven to do."""
    import pwlf

    n_samples = _PWLF_SAMPLES if n <= _PWLF_PIECES else _PWLF_SAMPLES // 4
    raw = np.linspace(0, 65535, n_samples)
    exact = 1000.0 + 4000.0 * curve_a(raw / 65535)
    model = pwlf.PiecewiseLinFit(raw, exact, seed=1)
    _, seconds = _timed(lambda: model.fitfast(n, pop=2))
    every = np.arange(65536)
    outputs = np.floor(model.predict(every) + 0.5)
    worst = float(target_of(curve_a).errors(outputs.astype(np.int64)).max()) / TICKS_PER_US
    name = f"pwlf, fitfast on {n_samples} samples"
    return Line(name=name, entries=n + 1, worst_us=worst, seconds=seconds)


def _own(name: str, form: Form, seconds: float) -> Line:
    target = target_of(curve_a)
    table = Table(
        origin=Origin(name="bench"),
        places=target.places,
        up=form,
        limits=order("bench", 1.0).limits,
        unit="ticks",
        ticks_per_unit=TICKS_PER_US,
        worst_error=float(target.errors(form.outputs(target.places.all_places())).max()),
        flash_bytes=flash_bytes([form], target.places),
    )
    return _measured(name, table, seconds)


def _measured(name: str, table: Table, seconds: float) -> Line:
    function = f"call_nw_{table.origin.name}_command"
    _, cycles = AvrProgram.of(_MCU, avr_source([table])).call(function, range(0x10000))
    return Line(
        name=name,
        entries=table.up.size,
        flash=avr_cost(table),
        cycles=float(cycles.mean()),
        worst_us=table.worst_error_in_commands,
        seconds=seconds,
    )


def _timed(make: Callable[[], T]) -> tuple[T, float]:
    started = time.perf_counter()
    made = make()
    return made, time.perf_counter() - started


if __name__ == "__main__":
    run()
