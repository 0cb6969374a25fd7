"""Tables of every kind there is: the compiled forms are compared with Python on all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np

from gaugecore.table.choose import make_table
from gaugecore.table.flash import flash_bytes
from gaugecore.table.integer import Form, Table
from gaugecore.table.pieces import fewest_pieces
from gaugecore.table.spacing import fewest_intervals
from gaugecore.table.target import Limits, Target, Tunnel, allowed
from gaugecore.table.uniform import FINER, with_bytes
from tests.table.curves import CURVES, Reals, curve_a, kinked, order, straight_pieces, target_of, tunnel_of

_WIDE = Limits(lowest=0, highest=65535)
_SIGNED = Limits(lowest=-32768, highest=32767)
_INT32 = (-(2**31), 2**31 - 1)


@cache
def catalogue() -> tuple[Table, ...]:
    """Return one table of every kind, each under a name of its own."""
    return (*_of_every_curve(), *_of_every_range(), *_of_every_output(), *_with_two_maps())


def sample_raws(table: Table, most: int = 65536) -> np.ndarray:
    """Return every raw value of a table, and a few beyond; evenly chosen ones of a very wide range."""
    low, high = table.places.raw_low, table.places.raw_high
    if high - low < most:
        return np.arange(max(low - 3, _INT32[0]), min(high + 3, _INT32[1]) + 1)
    return np.unique(np.append(np.linspace(low, high, most).astype(np.int64), [low, high]))


def _of_every_curve() -> list[Table]:
    tables: list[Table] = []
    for name, curve in CURVES.items():
        target = target_of(curve)
        tunnel = tunnel_of(target, 1.0)
        tables.append(_table(f"{name}-free", [target], [_pieces(tunnel)]))
        spaced = fewest_intervals([tunnel], offset=0, fine_bits=1)
        assert spaced is not None
        tables.append(_table(f"{name}-even", [target], spaced))
        finer = fewest_intervals([tunnel], offset=0, fraction_bits=FINER)
        assert finer is not None
        tables.append(_table(f"{name}-finer", [target], with_bytes(finer)))
        tables.append(_table(f"{name}-finer-whole", [target], finer))
    for fine_bits in (0, 2):
        spaced = fewest_intervals([tunnel_of(target_of(curve_a), 4.0)], offset=0, fine_bits=fine_bits)
        assert spaced is not None
        tables.append(_table(f"fine-{fine_bits}", [target_of(curve_a)], with_bytes(spaced)))
    return tables


def _of_every_range() -> list[Table]:
    ranges = {
        "byte": (0, 255),
        "two": (0, 1),
        "ten-bits": (0, 1023),
        "odd": (17, 40000),
        "signed": (-700, 700),
        "all-signed": (-32768, 32767),
        "wide": (0, 100_000),
        "all-raw": _INT32,
    }
    tables: list[Table] = []
    for i, (name, raw) in enumerate(ranges.items()):
        commands = (1000.0, 5000.0) if i % 2 else (5000.0, 1000.0)
        target = target_of(curve_a, raw=raw, commands=commands)
        tunnel = tunnel_of(target, 3.0)
        tables.append(_table(f"{name}-free", [target], [_pieces(tunnel)]))
        spaced = fewest_intervals([tunnel], offset=0)
        assert spaced is not None
        tables.append(_table(f"{name}-even", [target], with_bytes(spaced)))
    return tables


def _of_every_output() -> list[Table]:
    """Return tables with offsets, signs, high outputs, and slopes above one output a place."""
    tables: list[Table] = []
    for name, commands, limits, offset in (
        ("negative", (-2000.0, 2000.0), _SIGNED, -2010),
        ("falling-negative", (2000.0, -3000.0), _SIGNED, -3010),
        ("high", (60000.0, 65535.0), _WIDE, 59990),
        ("full", (0.0, 65535.0), _WIDE, 0),
    ):
        target = target_of(curve_a, commands=commands)
        tunnel = allowed(target, limits, 8.0)
        piece = fewest_pieces(tunnel, offset=offset if offset < 0 else 0)
        assert piece is not None
        tables.append(_table(f"{name}-free", [target], [piece], limits))
        if name != "full":  # its steps are more than a byte
            spaced = fewest_intervals([tunnel], offset=offset, fine_bits=0 if name == "high" else 1)
            assert spaced is not None
            tables.append(_table(f"{name}-even", [target], with_bytes(spaced), limits))
    target = target_of(_steep, commands=(0.0, 60000.0))
    tables.append(_table("steep-free", [target], [_pieces(allowed(target, _WIDE, 40.0))], _WIDE))
    return tables


def _with_two_maps() -> list[Table]:
    tables: list[Table] = []
    for name, curve, ends in (
        ("both-smooth", curve_a, (1000.0, 5000.0)),
        ("both-straight", straight_pieces, (1000.0, 5000.0)),
        ("both-falling", curve_a, (5000.0, 1000.0)),
    ):
        targets = [
            target_of(curve, commands=ends),
            target_of(curve, commands=(ends[0] + 47.0, ends[1] + 61.0)),
        ]
        tables.append(
            make_table(targets, order(name, 2.0, hysteresis=100, up_with_raw=name != "both-smooth"))
        )
    ends = ((1000.0, 5000.0), (1047.0, 5061.0))
    kinks = [target_of(kinked, commands=one) for one in ends]
    tables.append(make_table(kinks, order("both-kinked", 2.0, hysteresis=100)))
    narrow = [target_of(curve_a, raw=(0, 1023)), target_of(curve_a, raw=(0, 1023), commands=(1040.0, 5050.0))]
    tables.append(make_table(narrow, order("both-narrow", 2.0, hysteresis=4)))
    wide = [
        target_of(curve_a, raw=_INT32),
        target_of(curve_a, raw=_INT32, commands=(1040.0, 5050.0)),
    ]
    tables.append(make_table(wide, order("both-wide", 2.0, hysteresis=2**31)))
    return tables


def _steep(u: Reals) -> Reals:
    return np.asarray(np.interp(u, [0, 0.5, 0.51, 1], [0, 0.1, 0.9, 1]))


def _pieces(tunnel: Tunnel) -> Form:
    found = fewest_pieces(tunnel)
    assert found is not None
    return found


def _table(
    name: str, targets: Sequence[Target], forms: Sequence[Form], limits: Limits | None = None
) -> Table:
    """Return a table of forms of our choice rather than the smallest."""
    wanted = order(name, 1.0)
    places = targets[0].places
    return Table(
        origin=replace(wanted.origin, name=name),
        places=places,
        up=forms[0],
        limits=limits if limits is not None else wanted.limits,
        unit="ticks",
        ticks_per_unit=2.0,
        worst_error=max(
            float(target.errors(form.outputs(places.all_places())).max())
            for target, form in zip(targets, forms, strict=True)
        ),
        flash_bytes=flash_bytes(forms, places),
    )
