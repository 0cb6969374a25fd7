"""The readings on the calibration stage, and the fit made of them: live ones, or those kept in the panel.

A fit takes a moment, and the panel may change meanwhile. So what the user asks for waits in a row, one fit at
a time, and is worked out from the panel as it is then: nothing asked for earlier is lost by what comes later.
"""

from __future__ import annotations

import dataclasses
import datetime
from collections import deque
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from gaugecore.board.session import SessionState
from gaugecore.calibration.csv_rows import read_text
from gaugecore.calibration.readings import Reading, parse_readings
from gaugecore.calibration.refusals import FEWEST_READINGS
from gaugecore.calibration.result import Fit
from gaugecore.errors import InputError, NeedlewrightError
from gaugecore.panel.document import Instrument
from gaugecore.panel.edit import with_value
from gaugecore.panel.fit_for import fit_for
from gaugecore.panel.taken_on import date_in_comment
from needlewright.ui.background import Background
from needlewright.ui.desk import Desk
from needlewright.ui.session_changes import Change, NewSession, Verdict
from needlewright.ui.translation import translate

Outcome = tuple[Fit | None, str]


class Sitting(QObject):
    """What was read, and what it means.

    Signals
    -------
    changed
        Readings, fit, or the reason for none.
    said : str
        What could not be done.
    """

    changed = Signal()
    said = Signal(str)

    def __init__(self, desk: Desk, background: Background, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk, self._background = desk, background
        self._asked = self._answered = 0
        self._waiting: deque[Change] = deque()
        self._at_work: Change | None = None
        self._live: Instrument | None = None
        self._taken_on: str | None = None
        self.readings: tuple[Reading, ...] = ()
        self.fit: Fit | None = None
        self.why_no_fit = ""
        self._why_next = ""
        self._shown_of: tuple[str, type | None] = ("", None)
        desk.document.begun.connect(self._begin_anew)
        desk.instrument_renamed.connect(self._rename)
        desk.document.changed.connect(lambda _: self._show_kept())
        desk.instrument_changed.connect(lambda _: self._show_kept())
        background.broke.connect(lambda _: self._give_up())
        self._show_kept()

    @property
    def is_live(self) -> bool:
        """Return whether what is shown comes from the bench."""
        return self._live is not None

    @property
    def fit_is_of_all(self) -> bool:
        """Return whether the fit is that of all readings, and no newer one is being made."""
        return self.fit is not None and self._answered == self._asked

    def go_live(self, instrument: Instrument, taken_on: str | None) -> None:
        """Show what the bench reads of an instrument from now on, and the day it is from."""
        self._live, self._taken_on = instrument, taken_on
        self.readings, self.fit, self.why_no_fit = (), None, ""
        self.changed.emit()

    def end_live(self) -> None:
        """Go back to what the panel keeps."""
        self._live = None
        self._shown_of = ("", None)
        self._show_kept()

    def follow(self, state: SessionState) -> None:
        """Take over the readings of a live session, and fit them anew when they are others."""
        if not self.is_live or state.readings == self.readings:
            return
        self.readings = state.readings
        self._refit()
        self.changed.emit()

    def keep(self) -> None:
        """Put readings and fit into the panel, as the session in force."""
        if self._live is None or not self.readings:
            return
        change = NewSession(self._live.id, self.readings, taken_on=self._taken_on)
        if self.fit_is_of_all:
            self._put(change, self.fit)
        else:
            self._ask(change)

    def open_file(self, path: Path) -> None:
        """Fit the readings in a file, and put both into the panel as a step that can be undone.

        Raises
        ------
        ReadingsError
            If the file holds no readings.
        """
        instrument = self._desk.instrument
        if instrument is None:
            raise InputError(
                self.tr("readings belong to an instrument, and the panel has none"), where=str(path)
            )
        text = read_text(path)
        readings = parse_readings(text, where=str(path))
        note = self.tr("readings from {0}").format(path.name)
        self._ask(NewSession(instrument.id, readings, taken_on=date_in_comment(text), note=note))

    def exclude(self, row: int, reason: str) -> None:
        """Leave a kept reading out of the fit, or count it again; the session is fitted anew."""
        self._judge(
            row,
            {"excluded": reason},
            self.tr("leave row {0} out").format(row)
            if reason
            else self.tr("count row {0} again").format(row),
        )

    def stand_by(self, row: int, reason: str) -> None:
        """Believe a kept reading although the fit doubts it, or let the fit doubt it again."""
        self._judge(
            row,
            {"kept": reason},
            self.tr("keep row {0}").format(row)
            if reason
            else self.tr("let the fit doubt row {0}").format(row),
        )

    def _judge(self, row: int, verdict: dict[str, str], word: str) -> None:
        instrument = self._desk.instrument
        if instrument is None or not instrument.calibration.sessions or not 1 <= row <= len(self.readings):
            return
        at = len(instrument.calibration.sessions) - 1
        seen = self.readings[row - 1]
        self._ask(Verdict(instrument.id, at, row, (seen.command, seen.angle_deg), verdict, word))

    def _ask(self, change: Change) -> None:
        self._waiting.append(change)
        self._go_on()

    def _go_on(self) -> None:
        """Work on what has waited longest, with the panel as it is now."""
        while self._at_work is None and self._waiting:
            change = self._waiting[0]
            instrument = self._desk.document.panel.instrument(change.instrument_id)
            readings = change.readings(instrument) if instrument is not None else None
            if instrument is None or readings is None:
                self._waiting.popleft()
                self._say_gone(change)
                continue
            self._at_work = change
            then = partial(self._take_change, change, instrument)
            self._background.run(partial(_fitted, instrument, readings), then)

    def _take_change(self, change: Change, instrument: Instrument, outcome: Outcome) -> None:
        if self._at_work is not change:
            return  # given up meanwhile
        self._at_work = None
        now = self._desk.document.panel.instrument(change.instrument_id)
        if now is not None and change.is_of(now, instrument):
            self._waiting.popleft()
            self._put(change, *outcome)
        self._go_on()

    def _put(self, change: Change, fit: Fit | None, why_not: str = "") -> None:
        document = self._desk.document
        instrument = document.panel.instrument(change.instrument_id)
        if instrument is None:
            self._say_gone(change)
            return
        place = ("instruments", instrument.id, "calibration", "sessions")
        try:
            panel = with_value(document.panel, place, change.sessions(instrument, fit))
        except NeedlewrightError as error:
            self.said.emit(str(error))
            return
        shown = self._desk.instrument
        self._why_next = why_not if shown is not None and shown.id == instrument.id else ""
        document.replace(panel, f"{instrument.id}: {change.name}")
        self._why_next = ""
        if isinstance(change, NewSession):
            self.said.emit(_kept_words(change, fit, why_not))

    def _say_gone(self, change: Change) -> None:
        self.said.emit(
            self.tr("{0}: the readings are gone from the panel, nothing was changed.").format(change.name)
        )

    def _begin_anew(self) -> None:
        """Another panel was opened: nothing that was read or waits here is of any instrument of it."""
        self._live = None
        self._give_up()

    def _rename(self, old: str, new: str) -> None:
        """Go on with an instrument that has another short name."""
        if self._live is not None and self._live.id == old:
            self._live = self._live.model_copy(update={"id": new})
        self._waiting = deque(
            dataclasses.replace(change, instrument_id=new) if change.instrument_id == old else change  # type: ignore[type-var]
            for change in self._waiting
        )
        if self._at_work is not None and self._at_work.instrument_id == old:
            self._at_work = None  # made anew, since it is another one now
            self._go_on()

    def _give_up(self) -> None:
        """Forget what waits: an errand failed in a way nobody meant, maybe ours, and will not come back."""
        self._at_work = None
        self._waiting.clear()

    def _show_kept(self) -> None:
        if self.is_live:
            return
        instrument = self._desk.instrument
        sessions = instrument.calibration.sessions if instrument is not None else ()
        last = sessions[-1] if sessions else None
        readings = last.readings if last is not None else ()
        fit = last.fit if last is not None else None
        same = readings == self.readings and fit == self.fit
        why = self._why_next or (self.why_no_fit if same and fit is None else "")
        # thousands of rows are drawn anew only when there is something new to see
        of = (instrument.id, type(instrument.movement)) if instrument is not None else ("", None)
        if same and why == self.why_no_fit and of == self._shown_of:
            return
        self.readings, self.fit, self.why_no_fit, self._shown_of = readings, fit, why, of
        self.changed.emit()

    def _refit(self) -> None:
        self._asked += 1
        if self._live is None or len(self.readings) < FEWEST_READINGS:
            self.fit = None
            self.why_no_fit = self.tr("a fit needs at least {0} readings").format(FEWEST_READINGS)
            return
        self._background.run(
            partial(_fitted, self._live, self.readings), partial(self._take_fit, self._asked)
        )

    def _take_fit(self, asked: int, outcome: Outcome) -> None:
        if asked == self._asked and self.is_live:
            self._answered = asked
            self.fit, self.why_no_fit = outcome
            self.changed.emit()


def _kept_words(change: NewSession, fit: Fit | None, why_not: str) -> str:
    readings = translate("sitting", "{0} readings").format(len(change.taken))
    if fit is None:
        return translate("sitting", "{0} are in the panel, with no fit: {1}.").format(readings, why_not)
    return translate("sitting", "{0} and their fit are in the panel; save it to keep them.").format(readings)


def today() -> str:
    """Return the day of readings that are being taken."""
    return datetime.date.today().isoformat()


def _fitted(instrument: Instrument, readings: tuple[Reading, ...]) -> Outcome:
    """Return the fit, or the reason why there is none."""
    try:
        return fit_for(instrument, readings), ""
    except NeedlewrightError as error:
        return None, str(error)
