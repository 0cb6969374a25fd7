"""Everything that can be written, worked out from a panel: file names and their content."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from gaugecore.calibration.readings import format_readings
from gaugecore.errors import OutputError
from gaugecore.files import write_outputs
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.sheets import sheets_of
from gaugecore.panel.table_of import table_of
from gaugecore.record.record import record_pdf
from gaugecore.table.written import FORMATS as TABLE_FORMATS
from gaugecore.table.written import written
from needlewright.plate_files import FORMATS as PLATE_FORMATS
from needlewright.plate_files import plate_files
from needlewright.sheet_files import paper_file, sheet_files


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What to write.

    Attributes
    ----------
    plates : tuple of str
        Formats of faces, pointers and the test card.
    sheets : bool
        Everything nested on the stock, and the kerf test piece.
    paper : tuple of float or None
        Paper pages at true size: what the level and the upright bar of the last print measured, in mm.
    tables : bool
        Tables of the calibrated instruments, in all forms.
    record : bool
        Build sheet and calibration record.
    readings : bool
        Readings of every session.
    folder : Path
        Where to.
    replace : bool
        Whether files that are there already may go.
    """

    plates: tuple[str, ...] = PLATE_FORMATS
    sheets: bool = False
    paper: tuple[float, float] | None = None
    tables: bool = False
    record: bool = False
    readings: bool = False
    folder: Path
    replace: bool = False


def carried_out(panel: Panel, instruments: tuple[Instrument, ...], order: Order) -> list[Path]:
    """Write what is ordered, all of it or nothing; return the files.

    Raises
    ------
    NeedlewrightError
        If something cannot be drawn, made or written.
    """
    files: dict[str, bytes] = {}
    if order.plates:
        files |= plate_files(instruments, order.plates)
    if order.sheets:
        files |= sheet_files(panel, sheets_of(panel), order.plates or PLATE_FORMATS)
    if order.paper is not None:
        files |= paper_file(panel, "A4", order.paper)
    if order.tables:
        files |= _of_calibrated(instruments, lambda one: written(table_of(panel, one), tuple(TABLE_FORMATS)))
    if order.record:
        files["record.pdf"] = record_pdf(panel)
    if order.readings:
        for instrument in instruments:
            files |= _readings(instrument)
    if not files:
        raise OutputError("there is nothing to write", accepted="at least one kind of file, ticked above")
    return write_outputs(order.folder, files, force=order.replace)


def _of_calibrated(
    instruments: tuple[Instrument, ...], make: Callable[[Instrument], Mapping[str, bytes]]
) -> dict[str, bytes]:
    made: dict[str, bytes] = {}
    for instrument in instruments:
        if instrument.calibration.fit is not None:
            made |= make(instrument)
    return made


def _readings(instrument: Instrument) -> dict[str, bytes]:
    sessions = instrument.calibration.sessions
    return {
        f"{instrument.id}.{number}.readings.csv": format_readings(
            session.readings, comment=f"{instrument.title}, {session.taken_on or 'undated'}"
        ).encode("utf-8")
        for number, session in enumerate(sessions, start=1)
        if session.readings
    }
