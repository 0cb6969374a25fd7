"""Everything that can be written, worked out from a panel: file names and their content."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from gaugecore.calibration.readings import format_readings
from gaugecore.drawing.elements import Drawing
from gaugecore.errors import OutputError
from gaugecore.files import write_outputs
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.plates import plates_of
from gaugecore.panel.program_of import Moved
from gaugecore.panel.sheets import sheets_of
from gaugecore.panel.table_of import table_of
from gaugecore.record.record import record_pdf
from gaugecore.table.from_fit import Wanted
from gaugecore.table.written import FORMATS as TABLE_FORMATS
from gaugecore.table.written import written
from needlewright.plate_files import FORMATS as PLATE_FORMATS
from needlewright.plate_files import plate_files
from needlewright.sheet_files import paper_file, sheet_files
from needlewright.table_files import program_files
from needlewright.ui.called_off import CalledOff, Cancelled, Progress, never, nobody
from needlewright.ui.translation import translate


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
        Tables of the calibrated instruments, in all forms, and the firmware that joins them.
    wanted : Wanted
        What is demanded of the tables.
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
    wanted: Wanted = field(default_factory=Wanted)
    record: bool = False
    readings: bool = False
    folder: Path
    replace: bool = False


@dataclass(frozen=True, slots=True)
class Done:
    """What came of an order.

    Attributes
    ----------
    paths : list of Path
        The files.
    notes : tuple of str
        What else there is to say.
    """

    paths: list[Path]
    notes: tuple[str, ...] = ()


_Step = tuple[str, Callable[[], Mapping[str, bytes]]]


def carried_out(
    panel: Panel,
    instruments: tuple[Instrument, ...],
    order: Order,
    *,
    progress: Progress = nobody,
    called_off: CalledOff = never,
) -> Done:
    """Write what is ordered, all of it or nothing; return the files, and what else there is to say.

    Parameters
    ----------
    progress : callable
        Told before each step: how many are done, of how many, what comes next.
    called_off : callable
        Asked before each step.

    Raises
    ------
    Cancelled
        If it was called off; nothing is written then.
    NeedlewrightError
        If something cannot be drawn, made or written.
    """
    notes: list[str] = []
    steps = list(_steps(panel, instruments, order, notes))
    files: dict[str, bytes] = {}
    for make in _told(steps, progress, called_off):
        files |= make()
    if not files:
        raise OutputError(
            translate("output_work", "there is nothing to write"),
            accepted=translate("output_work", "at least one kind of file, ticked above"),
        )
    if called_off():
        raise Cancelled(translate("output_work", "called off; nothing was written"))
    return Done(write_outputs(order.folder, files, force=order.replace), tuple(notes))


@dataclass(frozen=True, slots=True)
class Pictured:
    """What can be looked at of an order before it is written.

    Attributes
    ----------
    drawings : list of Drawing
        Plates, test card, sheets, paper pages.
    record : bytes
        The record's PDF; empty when none is ordered.
    """

    drawings: list[Drawing]
    record: bytes = b""


def pictured(
    panel: Panel,
    instruments: tuple[Instrument, ...],
    order: Order,
    *,
    progress: Progress = nobody,
    called_off: CalledOff = never,
) -> Pictured:
    """Return what is ordered, to be looked at; progress and calling off as in `carried_out`.

    Raises
    ------
    Cancelled
        If it was called off.
    NeedlewrightError
        If something cannot be drawn.
    """
    drawings: list[Drawing] = []
    for make in _told(list(_looks(panel, instruments, order)), progress, called_off):
        drawings += make()
    record = b""
    if order.record:
        asked = [(translate("output_work", "record"), lambda: record_pdf(panel))]
        record = b"".join(make() for make in _told(asked, progress, called_off))
    if not drawings and not record:
        raise OutputError(
            translate("output_work", "there is nothing to look at"),
            accepted=translate("output_work", "plates, sheets, paper pages or the record, ticked above"),
        )
    return Pictured(drawings, record)


def _looks(
    panel: Panel, instruments: tuple[Instrument, ...], order: Order
) -> Iterator[tuple[str, Callable[[], Sequence[Drawing]]]]:
    """Yield what can be drawn of an order, by name."""
    from gaugecore.drawing.pages import Page
    from gaugecore.drawing.paper import PrintCorrection
    from gaugecore.drawing.test_card import test_card
    from needlewright.paper_prints import pages_to_print

    for instrument in instruments if order.plates else ():
        yield (
            translate("output_work", "plates of {0}").format(instrument.id),
            partial(plates_of, instrument),
        )
    if order.plates:
        yield translate("output_work", "test card"), lambda: [test_card()]
    if order.sheets:
        yield translate("output_work", "sheets"), lambda: [sheet.drawing for sheet in sheets_of(panel)]
    if order.paper is not None:
        correction = PrintCorrection(x_mm=order.paper[0], y_mm=order.paper[1])
        yield (
            translate("output_work", "paper pages"),
            lambda: pages_to_print(panel, Page.A4, correction),
        )


def _told(
    steps: Sequence[tuple[str, Callable[[], Any]]], progress: Progress, called_off: CalledOff
) -> Iterator[Callable[[], Any]]:
    """Yield steps, each after its name was told; none once they were called off."""
    for at, (what, make) in enumerate(steps):
        if called_off():
            raise Cancelled(translate("output_work", "called off; nothing was written"))
        progress(at, len(steps), what)
        yield make


def _steps(
    panel: Panel, instruments: tuple[Instrument, ...], order: Order, notes: list[str]
) -> Iterator[_Step]:
    for instrument in instruments:
        if order.plates:
            yield (
                translate("output_work", "plates of {0}").format(instrument.id),
                partial(plate_files, (instrument,), order.plates),
            )
    if order.sheets:
        yield (
            translate("output_work", "sheets"),
            lambda: sheet_files(panel, sheets_of(panel), order.plates or PLATE_FORMATS),
        )
    if order.paper is not None:
        yield translate("output_work", "paper pages"), partial(paper_file, panel, "A4", order.paper)
    if order.tables:
        yield from _table_steps(panel, instruments, order, notes)
    if order.record:
        yield translate("output_work", "record"), lambda: {"record.pdf": record_pdf(panel)}
    for instrument in instruments:
        if order.readings:
            yield (
                translate("output_work", "readings of {0}").format(instrument.id),
                partial(_readings, instrument),
            )


def _table_steps(
    panel: Panel, instruments: tuple[Instrument, ...], order: Order, notes: list[str]
) -> Iterator[_Step]:
    """Yield the tables of what is calibrated, and the program that joins them."""
    moved: list[Moved] = []

    def table(instrument: Instrument) -> Mapping[str, bytes]:
        made = table_of(panel, instrument, order.wanted)
        moved.append((made, instrument.movement))
        return written(made, tuple(TABLE_FORMATS))

    def program() -> Mapping[str, bytes]:
        files = program_files(moved, order.folder, force=order.replace)
        notes.extend(filter(None, [files.why_none]))
        return files.contents

    calibrated = [instrument for instrument in instruments if instrument.calibration.fit is not None]
    for instrument in calibrated:
        yield translate("output_work", "table of {0}").format(instrument.id), partial(table, instrument)
    if calibrated:
        yield translate("output_work", "firmware"), program


def _readings(instrument: Instrument) -> dict[str, bytes]:
    sessions = instrument.calibration.sessions
    return {
        f"{instrument.id}.{number}.readings.csv": format_readings(
            session.readings, comment=f"{instrument.title}, {session.taken_on or 'undated'}"
        ).encode("utf-8")
        for number, session in enumerate(sessions, start=1)
        if session.readings
    }
