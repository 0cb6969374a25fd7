"""From an instrument with a calibrated fit to its table, over its whole raw range and both directions."""

from __future__ import annotations

import math
from dataclasses import replace

from gaugecore.errors import TableError
from gaugecore.face.scale import angles_deg, value_range
from gaugecore.movement.servo import Servo
from gaugecore.panel.document import Instrument, Panel
from gaugecore.table.from_fit import Wanted, table_from_fit
from gaugecore.table.integer import Origin, Table
from gaugecore.table.places import Integers
from gaugecore.table.target import Reals

_AS_USUAL = Wanted()


def table_of(panel: Panel, instrument: Instrument, wanted: Wanted = _AS_USUAL) -> Table:
    """Return the table of an instrument; detent marks are pinned, since a detent must be hit exactly.

    Parameters
    ----------
    panel : Panel
        For its title.
    instrument : Instrument
        The dial; its raw range is covered whole, values off the scale go to the scale's nearest end.
    wanted : Wanted
        What the user asks for; raw values pinned there come on top of the detent marks.

    Raises
    ------
    TableError
        If there is no fit yet, or no table as asked.
    FitError
        If the scale reaches beyond the calibrated arc and ``wanted.clamp`` is false.
    """
    fit = instrument.calibration.fit
    if fit is None:
        raise TableError(
            "there is no fit yet, so there can be no table",
            where=f"instruments.{instrument.id}.calibration",
            accepted="an instrument with a fit: needlewright fit PANEL --instrument ID READINGS.csv",
        )
    movement = instrument.movement
    if movement.kind != fit.kind:
        raise TableError(
            "the fit was made for another kind of movement",
            where=f"instruments.{instrument.id}",
            found=f"a {fit.kind}'s fit on a {movement.kind}",
            accepted="readings of this movement, fitted again",
        )
    taken_on = next(
        (s.taken_on for s in reversed(instrument.calibration.sessions) if s.fit is not None), None
    )
    return table_from_fit(
        fit,
        raw_range=(instrument.raw.low, instrument.raw.high),
        angle_deg=lambda raw: angles_of_raw(instrument, raw),
        wanted=replace(wanted, pinned_raw=(*wanted.pinned_raw, *detents_raw(instrument))),
        origin=Origin(
            name=instrument.id, panel=panel.title, instrument=instrument.title, fitted_on=taken_on or ""
        ),
        pulse_limits_us=(movement.pulse_min_us, movement.pulse_max_us)
        if isinstance(movement, Servo)
        else None,
    )


def angles_of_raw(instrument: Instrument, raw: Integers) -> Reals:
    """Return the dial angles of raw values, shape (n,); what lies off the scale goes to its nearest end."""
    source = instrument.raw
    per_raw = (source.high_value - source.low_value) / (source.high - source.low)
    values = source.low_value + (raw - source.low) * per_raw
    return angles_deg(instrument.face.scale, values)


def raw_of_value(instrument: Instrument, value: float) -> int | None:
    """Return the nearest raw value for an indicated value, None when the raw range does not reach it."""
    source = instrument.raw
    share = (value - source.low_value) / (source.high_value - source.low_value)
    raw = math.floor(source.low + share * (source.high - source.low) + 0.5)
    low, high = value_range(instrument.face.scale)
    return raw if source.low <= raw <= source.high and low <= value <= high else None


def detents_raw(instrument: Instrument) -> tuple[int, ...]:
    """Return the raw values of the detent marks that the raw range reaches."""
    found = (raw_of_value(instrument, mark.value) for mark in instrument.face.detent_marks)
    return tuple(raw for raw in found if raw is not None)
