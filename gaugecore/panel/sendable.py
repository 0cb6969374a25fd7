"""What a dial may be sent: the commands its fit covers and its movement bears, and whether its scale fits in.

Tables for the board, live drives and the limits stored in the board all ask here, so none can go further than
another.
"""

from __future__ import annotations

import math

import numpy as np

from gaugecore.board.messages import TICKS_PER_US
from gaugecore.calibration.readings import Direction
from gaugecore.calibration.result import Fit
from gaugecore.errors import FitError
from gaugecore.panel.document import Instrument
from gaugecore.panel.needle_of import widest_commands
from gaugecore.panel.raw_values import angles_of_raw

#: Room for the last bits of binary fractions; a nanosecond of pulse is nothing a needle could show.
_ROUNDING = 1e-6


def counts_per_command(instrument: Instrument) -> int:
    """Return how many of the board's counts make one command: ticks a microsecond, or 1 for steps."""
    return TICKS_PER_US if instrument.movement.kind == "servo" else 1


def fit_in_force(instrument: Instrument) -> Fit:
    """Return the fit of an instrument, made for the movement it has.

    Raises
    ------
    FitError
        If there is none yet, or it was made for another kind of movement.
    """
    fit = instrument.calibration.fit
    if fit is None:
        raise FitError(
            "there is no fit yet, so its needle cannot be driven and there can be no table",
            where=f"instruments.{instrument.id}.calibration",
            accepted="an instrument that is calibrated: needlewright calibrate PANEL --instrument ID",
        )
    if fit.kind != instrument.movement.kind:
        raise FitError(
            "the fit was made for another kind of movement",
            where=f"instruments.{instrument.id}",
            found=f"a {fit.kind}'s fit on a {instrument.movement.kind}",
            accepted="readings of this movement, fitted again",
        )
    return fit


def sendable_commands(instrument: Instrument) -> tuple[float, float]:
    """Return the lowest and the highest command a dial may be sent, in µs or steps.

    Both lie inside the range of its fit and its movement's own limits, and are whole counts of the board.

    Raises
    ------
    FitError
        If there is no fit, or nothing lies inside both.
    """
    fit, widest = fit_in_force(instrument), widest_commands(instrument)
    counts = counts_per_command(instrument)
    low = math.ceil(max(min(fit.command_range), widest[0]) * counts - _ROUNDING) / counts
    high = math.floor(min(max(fit.command_range), widest[1]) * counts + _ROUNDING) / counts
    if not low < high:
        raise FitError(
            "the fit and the movement's own limits leave no command",
            where=f"instruments.{instrument.id}",
            found=f"a fit of {fit.command_range[0]:g} to {fit.command_range[1]:g}",
            accepted=f"within {widest[0]:g} to {widest[1]:g}",
        )
    return low, high


def sendable_arc_deg(instrument: Instrument) -> tuple[float, float]:
    """Return the dial angles, lowest first, that those commands reach from both directions."""
    fit, commands = fit_in_force(instrument), sendable_commands(instrument)
    ends = np.sort([fit.angles(commands, side) for side in (Direction.UP, Direction.DOWN)])
    return float(ends[:, 0].max()), float(ends[:, 1].min())


def check_arc(instrument: Instrument) -> None:
    """Refuse a dial whose raw range leads outside its calibrated arc, or beyond its movement's limits.

    Raises
    ------
    FitError
        If it does; a front end that is asked to clamp does not call this.
    """
    fit = fit_in_force(instrument)
    raw = instrument.raw
    ends_deg = np.sort(angles_of_raw(instrument, np.array([raw.low, raw.high])))
    low_deg, high_deg = fit.angle_range_deg
    where = f"instruments.{instrument.id}"
    if not (low_deg <= ends_deg[0] and ends_deg[1] <= high_deg):
        raise FitError(
            "the scale reaches beyond the calibrated arc",
            where=where,
            found=f"{ends_deg[0]:g}° to {ends_deg[1]:g}°",
            accepted=f"{low_deg:g}° to {high_deg:g}°: calibrate further out, or stop at its ends (--clamp)",
        )
    needed = np.ravel([fit.commands(ends_deg, side) for side in (Direction.UP, Direction.DOWN)])
    low, high = sendable_commands(instrument)
    one = 1.0 / counts_per_command(instrument)  # rounding is no reason to refuse
    if needed.min() < low - one or needed.max() > high + one:
        raise FitError(
            "the scale asks for commands beyond the movement's own limits",
            where=where,
            found=f"{needed.min():g} to {needed.max():g}",
            accepted=f"{low:g} to {high:g}: a movement that bears more, or stop at its ends (--clamp)",
        )
