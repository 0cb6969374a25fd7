"""The fit of an instrument's readings: by its kind of movement, and within what that movement may be sent."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.calibration.fit import Kind, fit_readings
from gaugecore.calibration.readings import Reading
from gaugecore.calibration.result import Fit
from gaugecore.errors import FitError
from gaugecore.panel.document import Instrument
from gaugecore.panel.needle_of import widest_commands
from gaugecore.units import COMMAND_UNITS


def fit_for(instrument: Instrument, readings: Sequence[Reading], *, where: str = "") -> Fit:
    """Return the fit of readings taken at an instrument; the same from every front end.

    Parameters
    ----------
    instrument : Instrument
        What was read: its movement says the kind and the limits.
    readings : sequence of Reading
        In the order they were taken.
    where : str
        Where they are from, for messages.

    Raises
    ------
    FitError
        If no honest map can be made; says how many rows the limits left out.
    """
    limits = widest_commands(instrument)
    return fit_within(readings, kind=instrument.movement.kind, limits=limits, where=where)


def fit_within(
    readings: Sequence[Reading], *, kind: Kind, limits: tuple[float, float] | None, where: str = ""
) -> Fit:
    """Return the fit of readings whose instrument is not known; see `fit_for`.

    Raises
    ------
    FitError
        If no honest map can be made; says how many rows the limits left out.
    """
    try:
        return fit_readings(readings, kind=kind, command_limits=limits)
    except FitError as error:
        fault = error.fault
        what = f"{fault.what}{_left_out(readings, kind, limits)}"
        raise FitError(what, where=where, found=fault.found, accepted=fault.accepted) from error


def _left_out(readings: Sequence[Reading], kind: Kind, limits: tuple[float, float] | None) -> str:
    if limits is None:
        return ""
    low, high = min(limits), max(limits)
    outside = [row for row in readings if not row.excluded and not low <= row.command <= high]
    if not outside or len(outside) == len(readings):
        return ""
    rows = "1 row" if len(outside) == 1 else f"{len(outside)} rows"
    return (
        f" ({rows} outside the limits of the movement, {low:g} to {high:g} {COMMAND_UNITS[kind]}, left out)"
    )
