"""From two curves of dial angle over command to the knots of a fit: inverted, monotone, inside the readings.

The arc is what both branches reach within the commands that were read. Beyond that there may be a stop, so
nothing is extrapolated.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from gaugecore.calibration.observations import Floats
from gaugecore.calibration.result import Knots
from gaugecore.errors import FitError

#: Knots of a fit: straight pieces between them stay within a few hundredths of a degree of the curve.
KNOT_COUNT = 97
#: A branch that turns back by more than this is a contradiction in the readings, not a ripple.
_MOST_TURN_BACK_DEG = 3.0
_NEAR_MARK_DEG = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Curves:
    """Where the needle comes to rest, over a grid of commands; all of shape (n,).

    Attributes
    ----------
    command : ndarray
        Strictly increasing.
    up_deg, down_deg : ndarray
        Dial angle when arriving from below, and from above.
    uncertainty_deg : ndarray
        Standard uncertainty of both.
    """

    command: Floats
    up_deg: Floats
    down_deg: Floats
    uncertainty_deg: Floats


def make_knots(
    curves: Curves, *, sense: float, marks_deg: Mapping[Literal["low", "high"], float] | None = None
) -> Knots:
    """Return the knots of two branches.

    Parameters
    ----------
    curves : Curves
        Grid of commands over the readings that are believed.
    sense : float
        +1 when the dial angle rises with the command, -1 when it falls.
    marks_deg : mapping or None
        Dial angles of the outermost marks onto which the needle was brought: where what both branches reach
        ends within a degree of one, the arc ends on the mark.

    Raises
    ------
    FitError
        If a branch turns back, or if the two branches have no arc in common.
    """
    up, down = _one_way(curves.up_deg * sense), _one_way(curves.down_deg * sense)
    low, high = max(up[0], down[0]), min(up[-1], down[-1])
    for end, mark in (marks_deg or {}).items():
        if (end == "low") == (sense > 0):
            low = mark * sense if abs(mark * sense - low) <= _NEAR_MARK_DEG else low
        else:
            high = mark * sense if abs(mark * sense - high) <= _NEAR_MARK_DEG else high
    if not high - low > 1e-6:
        raise FitError(
            "the readings from below and from above have no arc in common",
            found=f"{abs(up[-1] - up[0]):.3g}° of travel",
            accepted="readings over more of the arc, from both sides",
        )
    along = np.linspace(low, high, KNOT_COUNT)
    command_up, command_down = _inverse(along, up, curves.command), _inverse(along, down, curves.command)
    middle = (command_up + command_down) / 2.0
    uncertainty = np.interp(middle, curves.command, curves.uncertainty_deg)
    turn = slice(None) if sense > 0 else slice(None, None, -1)
    return Knots(
        angle_deg=tuple((along * sense)[turn].tolist()),
        command_up=tuple(command_up[turn].tolist()),
        command_down=tuple(command_down[turn].tolist()),
        standard_uncertainty_deg=tuple(uncertainty[turn].tolist()),
    )


def _one_way(rising_deg: Floats) -> Floats:
    """Return the nearest strictly rising curve; a curve that already rises is left as it is."""
    rising = nearest_rising(rising_deg)
    # half a turn back on either side of the nearest curve
    turn_back = 2.0 * float(np.abs(rising - rising_deg).max())
    if turn_back > _MOST_TURN_BACK_DEG:
        raise FitError(
            "the dial angle turns back along the commands",
            found=f"by {turn_back:.1f}°",
            accepted="readings whose angle runs one way; read the rows around it again",
        )
    if (np.diff(rising) > 0).all():
        return rising
    # a strict slope, far below what anybody can read, keeps the map invertible
    span = max(float(np.ptp(rising)), 1e-9)
    return rising + np.linspace(0.0, 1e-6 * span, rising.size)


def nearest_rising(values: Floats) -> Floats:
    """Return the values nearest in the least-squares sense that never fall: isotonic regression."""
    if (np.diff(values) >= 0).all():
        return values
    from scipy.optimize import isotonic_regression

    return np.asarray(isotonic_regression(values).x, dtype=np.float64)


def _inverse(along: Floats, rising_deg: Floats, command: Floats) -> Floats:
    """Return commands at dial angles; a hair beyond the ends the last piece continues."""
    commands = np.interp(along, rising_deg, command)
    for beyond, i, j in ((along < rising_deg[0], 0, 1), (along > rising_deg[-1], -1, -2)):
        slope = (command[i] - command[j]) / (rising_deg[i] - rising_deg[j])
        commands = np.where(beyond, command[i] + (along - rising_deg[i]) * slope, commands)
    return commands
