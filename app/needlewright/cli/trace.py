"""A recording of raw values, read for one instrument: times and the dial angles wanted at them."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from gaugecore.errors import InputError
from gaugecore.panel.document import Instrument
from gaugecore.panel.table_of import angles_of_raw

_LARGEST_BYTES = 64 * 1024 * 1024


def read_trace(path: Path, instrument: Instrument) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return times in seconds and dial angles, each of shape (n,).

    Raises
    ------
    InputError
        If the file cannot be read, lacks a column, or holds something that is not a number.
    """
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise InputError("the file is too large for a trace", where=str(path), accepted="at most 64 MB")
        text = path.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or "not UTF-8 text"
        raise InputError(f"cannot read the file ({why})", where=str(path)) from error
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    names = rows.fieldnames or []
    column = next((name for name in (instrument.raw.field, instrument.id) if name and name in names), None)
    if "time_s" not in names or column is None:
        raise InputError(
            "a trace lacks a column",
            where=str(path),
            found=", ".join(names) or "nothing",
            accepted=f"time_s and {instrument.raw.field or instrument.id}",
        )
    times_s, raws = [], []
    for number, row in enumerate(rows, start=1):
        times_s.append(_number(row["time_s"], f"{path}, row {number}, time_s"))
        raws.append(_number(row[column], f"{path}, row {number}, {column}"))
    return np.array(times_s), angles_of_raw(instrument, np.array(raws))


def _number(text: str | None, where: str) -> float:
    try:
        return float(text or "")
    except ValueError as error:
        raise InputError("is not a number", where=where, found=text, accepted="a number") from error
