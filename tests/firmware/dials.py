"""Invented dials of a river ferry's bridge desk, with tables made the way users make them: from a fit."""

from __future__ import annotations

from typing import Literal

import numpy as np

from gaugecore.calibration.result import Fit, Knots, Reversal
from gaugecore.table.from_fit import Wanted, straight, table_from_fit
from gaugecore.table.integer import Origin, Table

_TICKS = Wanted(timer_hz=2e6)


def rudder() -> Table:
    """Return a servo's table with a map for each direction, raw 0 to 65535."""
    return _table("rudder", "servo", (1100.0, 1900.0), reversal=8.0, raw=(0, 65535), wanted=_TICKS)


def rudder_one_map() -> Table:
    """Return the same dial's table with one map through the middle."""
    wanted = Wanted(timer_hz=2e6, one_map=True)
    return _table("rudder", "servo", (1100.0, 1900.0), reversal=8.0, raw=(0, 65535), wanted=wanted)


def shaft_speed() -> Table:
    """Return a servo's table with one map, raw -400 to 400, falling pulses."""
    return _table("shaft-speed", "servo", (1850.0, 1150.0), reversal=0.0, raw=(-400, 400), wanted=_TICKS)


def fuel() -> Table:
    """Return a gauge stepper's table, raw 0 to 1000."""
    return _table("fuel", "stepper", (20.0, 600.0), reversal=0.0, raw=(0, 1000), wanted=Wanted())


def _table(
    name: str,
    kind: Literal["servo", "stepper"],
    commands: tuple[float, float],
    *,
    reversal: float,
    raw: tuple[int, int],
    wanted: Wanted,
) -> Table:
    angle = np.linspace(-70.0, 70.0, 41)
    share = (angle + 70.0) / 140.0
    up = commands[0] + (commands[1] - commands[0]) * (share + 0.04 * np.sin(2 * np.pi * share))
    fit = Fit(
        kind=kind,
        command_range=(min(commands), max(commands) + reversal),
        angle_range_deg=(-70.0, 70.0),
        knots=Knots(
            angle_deg=tuple(angle),
            command_up=tuple(up),
            command_down=tuple(up + reversal),
            standard_uncertainty_deg=(0.1,) * angle.size,
        ),
        reversal_deg=Reversal(value=0.5, standard_uncertainty=0.1),
        repeatability_deg=0.1,
    )
    return table_from_fit(
        fit, raw_range=raw, angle_deg=straight(raw, (-70.0, 70.0)), wanted=wanted, origin=Origin.named(name)
    )
