"""From an instrument with a calibrated fit to its table, over its whole raw range and both directions."""

from __future__ import annotations

from dataclasses import replace

from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.needle_of import widest_commands
from gaugecore.panel.raw_values import angles_of_raw, detents_raw
from gaugecore.panel.sendable import fit_in_force
from gaugecore.table.from_fit import Wanted, table_from_fit
from gaugecore.table.integer import Origin, Table

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
        If there is no table as asked.
    FitError
        If there is no fit for this movement, or the scale reaches beyond the calibrated arc while
        ``wanted.clamp`` is false.
    """
    fit = fit_in_force(instrument)
    session = instrument.calibration.in_force
    taken_on = None if session is None else session.taken_on
    return table_from_fit(
        fit,
        raw_range=(instrument.raw.low, instrument.raw.high),
        angle_deg=lambda raw: angles_of_raw(instrument, raw),
        wanted=replace(wanted, pinned_raw=(*wanted.pinned_raw, *detents_raw(instrument))),
        origin=Origin(
            name=instrument.id, panel=panel.title, instrument=instrument.title, fitted_on=taken_on or ""
        ),
        command_limits=widest_commands(instrument),
    )
