"""Raw value, indicated value, dial angle: one mapping for tables, drives and figures."""

from __future__ import annotations

import math

from numpy.typing import ArrayLike

from gaugecore.face.scale import angles_deg, value_range
from gaugecore.panel.document import Instrument, RawInput
from gaugecore.table.places import Integers
from gaugecore.table.target import Reals

_Raw = Integers | float


def angles_of_raw(instrument: Instrument, raw: _Raw) -> Reals:
    """Return the dial angles of raw values, what lies off the scale going to its nearest end.

    Parameters
    ----------
    instrument : Instrument
        Whose scale it is.
    raw : ndarray of int, or number
        Raw values.
    """
    source = instrument.raw
    per_raw = (source.high_value - source.low_value) / (source.high - source.low)
    values: ArrayLike = source.low_value + (raw - source.low) * per_raw
    return angles_deg(instrument.face.scale, values)


def raw_at(source: RawInput, value: float) -> float:
    """Return the raw value, as a fraction, that an indicated value has; it may lie outside the raw range."""
    share = (value - source.low_value) / (source.high_value - source.low_value)
    return source.low + share * (source.high - source.low)


def raw_of_value(instrument: Instrument, value: float) -> int | None:
    """Return the nearest raw value for an indicated value, None when the raw range does not reach it."""
    source = instrument.raw
    raw = math.floor(raw_at(source, value) + 0.5)
    low, high = value_range(instrument.face.scale)
    return raw if source.low <= raw <= source.high and low <= value <= high else None


def detents_raw(instrument: Instrument) -> tuple[int, ...]:
    """Return the raw values of the detent marks that the raw range reaches."""
    found = (raw_of_value(instrument, mark.value) for mark in instrument.face.detent_marks)
    return tuple(raw for raw in found if raw is not None)
