"""Tables side by side on curve A, briefly on three others: a maker's first, a library's, and what is kept.

Cycles and flash are measured in the simulated ATmega328P; worst errors, in µs, over every raw value, rounding
included; the time is what making the table takes here. The general least-squares library takes minutes on all
samples, so it gets some of them.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence, Sized
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
from gaugecore.table.uniform import Uniform, with_bytes
from tests.table.curves import CURVES, TICKS_PER_US, Curve, curve_a, order, target_of, tunnel_of
from tests.table.machines import RET_BYTES, AvrProgram, avr_cost, avr_source
from tests.table.naive import NO_TABLE, long_points, long_source, naive_points, naive_source

_MCU = "atmega328p"
_BOUNDS_US = (0.5, 1.0, 2.0)
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
    _print("Curve A", {bound_us: _lines(bound_us) for bound_us in _BOUNDS_US})
    for name in CURVES:
        if name != "curve-a":
            _print(f"Curve {name}", {bound_us: _few_lines(name, bound_us) for bound_us in _BOUNDS_US})


def _print(title: str, lines: Mapping[float, Sequence[Line]]) -> None:
    sheet = Sheet(title=f"{title}, 65,536 raw values, {_MCU}")
    for column in ("bound µs", "table", "entries", "flash B", "mean cycles", "worst error µs", "made in s"):
        sheet.add_column(column, justify="left" if column == "table" else "right")
    for bound_us, at_bound in lines.items():
        for line in at_bound:
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
    lines = _rivals(curve_a, ticks)
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


def _few_lines(name: str, bound_us: float) -> list[Line]:
    ticks, curve = bound_us * TICKS_PER_US, CURVES[name]
    kept, seconds = _timed(lambda: make_table([target_of(curve)], order("kept", ticks)))
    kind = "uniform" if isinstance(kept.up, Uniform) else f"free knots, at least {kept.up.fewest}"
    return [*_rivals(curve, ticks), _measured(f"kept ({kind})", kept, seconds)]


def _rivals(curve: Curve, ticks: float) -> list[Line]:
    return [
        _rival("float points, linear search", naive_source, naive_points, ticks, curve),
        _rival("32-bit multiply and divide", long_source, long_points, ticks, curve),
    ]


def _rival(
    name: str,
    source: Callable[[float, Curve], dict[str, str | bytes]],
    points: Callable[[float, Curve], tuple[Sized, Sized]],
    ticks: float,
    curve: Curve,
) -> Line:
    files, seconds = _timed(lambda: source(ticks, curve))
    program = AvrProgram.of(_MCU, files)
    outputs, cycles = program.call("naive", range(0x10000))
    flash = program.flash_bytes() - AvrProgram.of(_MCU, NO_TABLE).flash_bytes() + RET_BYTES
    worst = float(target_of(curve).errors(outputs).max()) / TICKS_PER_US
    entries = len(points(ticks, curve)[0])
    return Line(
        name=name, entries=entries, flash=flash, cycles=float(cycles.mean()), worst_us=worst, seconds=seconds
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
