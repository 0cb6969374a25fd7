"""The files in which sittings are kept while they run, and the last one, to go on with after a crash."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path

from gaugecore.calibration.csv_rows import read_text
from gaugecore.calibration.readings import Reading, parse_readings
from gaugecore.errors import NeedlewrightError
from gaugecore.panel.document import Instrument
from gaugecore.panel.taken_on import date_in_comment
from needlewright.ui.data_folder import data_folder

_ENDING = ".readings.csv"


@dataclass(frozen=True, slots=True, kw_only=True)
class LastSitting:
    """A sitting that was broken off."""

    path: Path
    readings: tuple[Reading, ...]
    taken_on: str | None


def new_file(title: str, instrument: Instrument) -> Path | None:
    """Return where the readings of a new sitting are kept, None when there is no place to write to."""
    now = datetime.datetime.now().strftime("%Y%m%d-%H%M%S")
    folder = data_folder("readings")
    return folder and folder / f"{_stem(title, instrument)}.{now}{_ENDING}"


def last_sitting(title: str, instrument: Instrument) -> LastSitting | None:
    """Return the newest sitting of an instrument, None when there is none or the panel has its readings."""
    folder = data_folder("readings")
    files = sorted(folder.glob(f"{_stem(title, instrument)}.*{_ENDING}")) if folder is not None else []
    if not files:
        return None
    try:
        text = read_text(files[-1])
        readings = parse_readings(text, where=str(files[-1]))
    except NeedlewrightError:
        return None  # it can still be opened by name, and is refused with its reason then
    kept = [session.readings for session in instrument.calibration.sessions]
    if not readings or readings in kept:
        return None
    return LastSitting(path=files[-1], readings=readings, taken_on=date_in_comment(text))


def _stem(title: str, instrument: Instrument) -> str:
    plain = "".join(letter if letter.isalnum() else "-" for letter in title.lower())[:40].strip("-")
    return f"{plain or 'panel'}.{instrument.id}"
