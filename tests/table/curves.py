"""Curves to make tables of: dial share u (0 to 1) to command share, invented for these tests."""

from __future__ import annotations

from collections.abc import Callable
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from gaugecore.table.choose import Order, make_table
from gaugecore.table.integer import Origin, Table
from gaugecore.table.places import Places
from gaugecore.table.target import Limits, Target, Tunnel, allowed

Reals = NDArray[np.float64]
Curve = Callable[[Reals], Reals]

#: 16 MHz with the timer's prescaler at 8.
TICKS_PER_US = 2.0
_STEPS = np.array([0.0, *accumulate(np.random.default_rng(1).uniform(0.3, 1.7, 64))])


def curve_a(u: Reals) -> Reals:
    """Return the smooth curve the targets are set on."""
    return np.asarray(u - 0.03 * np.sin(2 * np.pi * u) - 0.12 * u * (1 - u))


def kinked(u: Reals) -> Reals:
    """Return a curve with one local kink."""
    return np.asarray(0.9 * u + 0.1 * np.clip((u - 0.4) / 0.05, 0, 1))


def straight_pieces(u: Reals) -> Reals:
    """Return a dial made of five straight pieces."""
    return np.asarray(np.interp(u, [0, 0.15, 0.4, 0.62, 0.8, 1], [0, 0.275, 0.4, 0.675, 0.775, 1]))


def noisy(u: Reals) -> Reals:
    """Return a monotone curve that bends at random 63 times."""
    return np.asarray(np.interp(u, np.linspace(0, 1, 65), _STEPS / _STEPS[-1]))


CURVES: dict[str, Curve] = {
    "curve-a": curve_a,
    "kinked": kinked,
    "straight-pieces": straight_pieces,
    "noisy": noisy,
}


def target_of(
    curve: Curve,
    *,
    raw: tuple[int, int] = (0, 65535),
    commands: tuple[float, float] = (1000.0, 5000.0),
) -> Target:
    """Return the exact commands of a curve over a raw range, in output units."""
    low, high = commands
    places = Places(raw_low=raw[0], raw_high=raw[1], falling=high < low)
    return Target.of(places, lambda r: low + (high - low) * curve((r - raw[0]) / (raw[1] - raw[0])))


def order(name: str, max_error: float, **more: object) -> Order:
    """Return what to ask of a table in timer ticks."""
    wanted = {
        "origin": Origin(name=name, panel="Ferry bridge desk", instrument=name.title()),
        "limits": Limits(lowest=600, highest=6000),
        "max_error": max_error,
        "unit": "ticks",
        "ticks_per_unit": TICKS_PER_US,
    }
    return Order(**(wanted | more))  # type: ignore[arg-type]


def tunnel_of(target: Target, max_error: float) -> Tunnel:
    """Return the integers allowed within the limits of `order`."""
    return allowed(target, Limits(lowest=600, highest=6000), max_error)


def table_a(max_error: float) -> Table:
    """Return the table of curve A in ticks."""
    return make_table([target_of(curve_a)], order("curve-a", max_error))
