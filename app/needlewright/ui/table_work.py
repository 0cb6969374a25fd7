"""What the table stage shows, worked out from a panel: figures, code, and the error over every raw value."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gaugecore.calibration.readings import Direction
from gaugecore.errors import NeedlewrightError
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.raw_values import angles_of_raw
from gaugecore.panel.table_of import table_of
from gaugecore.table.cycles import CLOCK_HZ, measured_cycles
from gaugecore.table.from_fit import Wanted
from gaugecore.table.integer import Table
from gaugecore.table.written import FORMATS, written
from needlewright.ui.findings_list import sentence
from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate

#: Points of the error plot; each stands for a stretch of raw values by its worst.
_STRETCHES = 1024
_NO_FIT = QT_TRANSLATE_NOOP(
    "table_work",
    "There is no fit yet, so there can be no table. Take readings at the calibration stage, "
    "or open a readings file there.",
)
_UNITS = {
    "us": "µs",
    "ticks": QT_TRANSLATE_NOOP("table_work", "timer ticks"),
    "steps": QT_TRANSLATE_NOOP("table_work", "steps"),
}


Envelope = tuple[NDArray[np.float64], NDArray[np.float64]]


@dataclass(frozen=True, slots=True, kw_only=True)
class TableView:
    """A table as the stage shows it.

    Attributes
    ----------
    figures : str
        For people.
    files : dict of str to bytes
        The table in all its forms, by file name.
    raw : ndarray, shape (n,)
        Raw values of the error plot.
    errors : tuple of (ndarray, ndarray), each of shape (n,)
        Table less fit in µs or steps: least and most of each stretch, one pair a direction.
    unit : str
        Of the errors.
    refusal : str
        Why there is no table; everything else is empty then.
    """

    figures: str = ""
    files: dict[str, bytes]
    raw: NDArray[np.float64]
    errors: tuple[Envelope, ...] = ()
    unit: str = ""
    refusal: str = ""


def table_view(panel: Panel, instrument: Instrument, wanted: Wanted) -> TableView:
    """Return the table of an instrument, ready to be shown; a refusal is part of the answer."""
    if instrument.calibration.fit is None:
        return TableView(files={}, raw=np.empty(0), refusal=translate("table_work", _NO_FIT))
    try:
        table = table_of(panel, instrument, wanted)
        files = written(table, tuple(FORMATS))
    except NeedlewrightError as error:
        return TableView(files={}, raw=np.empty(0), refusal=str(error))
    raw, errors = _errors(table, instrument)
    unit = "steps" if table.unit == "steps" else "µs"
    return TableView(figures=_figures(table, unit), files=files, raw=raw, errors=errors, unit=unit)


def no_instrument() -> TableView:
    """Return what there is to show when the panel has no instrument."""
    why = translate("table_work", "Without an instrument there is no table.")
    return TableView(files={}, raw=np.empty(0), refusal=why)


def _errors(table: Table, instrument: Instrument) -> tuple[NDArray[np.float64], tuple[Envelope, ...]]:
    fit = instrument.calibration.fit
    assert fit is not None
    places = table.places
    raw = np.arange(places.raw_low, places.raw_high + 1, dtype=np.int64)
    angles = np.clip(angles_of_raw(instrument, raw), *fit.angle_range_deg)
    directions = (Direction.UNKNOWN,) if table.down is None else (Direction.UP, Direction.DOWN)
    stretch = max(1, raw.size // _STRETCHES)
    kept = raw.size // stretch * stretch
    errors = []
    for direction in directions:
        exact = fit.commands(angles, direction)
        error = table.commands(raw, direction) / table.ticks_per_unit - exact
        rows = error[:kept].reshape(-1, stretch)
        errors.append((rows.min(axis=1), rows.max(axis=1)))
    return raw[:kept:stretch].astype(float), tuple(errors)


def _figures(table: Table, command: str) -> str:
    lines = [
        translate(
            "table_work", "Worst error over all {0} raw values: {1:.3g} {2}, rounding included."
        ).format(table.places.raw_high - table.places.raw_low + 1, table.worst_error_in_commands, command),
        sentence(table.choice),
        _cycles(table) + " " + translate("table_work", "Output in {0}.").format(_unit_words(table)),
    ]
    if table.down is not None:
        lines.append(
            translate("table_work", "Two maps, one a direction; the raw value must turn back by {0}.").format(
                table.hysteresis
            )
        )
    return "\n".join(lines)


def _unit_words(table: Table) -> str:
    return translate("table_work", _UNITS[table.unit])


def _cycles(table: Table) -> str:
    """Return how long a value takes on an 8-bit AVR, as far as that was measured, and where."""
    measured = [measured_cycles(branch) for branch in table.branches]
    known = [figure for figure in measured if figure is not None]
    if len(known) < len(measured):
        return translate("table_work", "Cycles on an 8-bit AVR: not measured for a table of this form.")
    low, high = min(figure[0] for figure in known), max(figure[1] for figure in known)
    cycles = str(low) if low == high else translate("table_work", "{0} to {1}").format(low, high)
    return translate(
        "table_work", "About {0} cycles a value, {1:.1f} µs: measured in a simulated ATmega328P at 16 MHz."
    ).format(cycles, high / CLOCK_HZ * 1e6)
