"""The readings on the calibration stage, and the fit made of them: live ones, or those kept in the panel."""

from __future__ import annotations

import datetime
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from gaugecore.board.session import SessionState
from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.readings import Reading, read_readings
from gaugecore.calibration.result import Fit
from gaugecore.errors import InputError, NeedlewrightError
from gaugecore.panel.document import Instrument, Session
from gaugecore.panel.edit import with_value
from needlewright.ui.background import Background
from needlewright.ui.desk import Desk

#: Fewer make no fit, so none is tried.
_FEWEST = 5

Outcome = tuple[Fit | None, str]


class Sitting(QObject):
    """What was read, and what it means.

    Signals
    -------
    changed
        Readings, fit, or the reason for none.
    """

    changed = Signal()

    def __init__(self, desk: Desk, background: Background, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk, self._background = desk, background
        self._asked = self._answered = 0
        self.is_live = False
        self.readings: tuple[Reading, ...] = ()
        self.fit: Fit | None = None
        self.why_no_fit = ""
        desk.document.changed.connect(lambda _: self._show_kept())
        desk.instrument_changed.connect(lambda _: self._show_kept())
        self._show_kept()

    @property
    def fit_is_of_all(self) -> bool:
        """Return whether the fit is that of all readings, and no newer one is being made."""
        return self.fit is not None and self._answered == self._asked

    def go_live(self) -> None:
        """Show what the bench reads from now on."""
        self.is_live = True
        self.readings, self.fit, self.why_no_fit = (), None, ""
        self.changed.emit()

    def end_live(self) -> None:
        """Go back to what the panel keeps."""
        self.is_live = False
        self._show_kept()

    def follow(self, state: SessionState, limits: tuple[float, float] | None) -> None:
        """Take over the readings of a live session, and fit them anew when they are others."""
        if state.readings == self.readings:
            return
        self.readings = state.readings
        self._refit(limits)
        self.changed.emit()

    def keep(self) -> None:
        """Put readings and fit into the panel, as the session in force."""
        instrument = self._desk.instrument
        if instrument is None or not self.readings:
            return
        session = Session(taken_on=datetime.date.today().isoformat(), readings=self.readings, fit=self.fit)
        self._add(instrument, session)

    def open_file(self, path: Path) -> None:
        """Fit the readings in a file, and put both into the panel as a step that can be undone.

        Raises
        ------
        ReadingsError
            If the file holds no readings.
        """
        instrument = self._desk.instrument
        if instrument is None:
            raise InputError("readings belong to an instrument, and the panel has none", where=str(path))
        readings = read_readings(path)
        note = f"readings from {path.name}"
        self._background.run(
            partial(_fitted, readings, instrument.movement.kind, None),
            lambda outcome: self._take_file(instrument, readings, note, outcome),
        )

    def exclude(self, row: int, reason: str) -> None:
        """Leave a kept reading out of the fit, or count it again; the session is fitted anew."""
        self._judge(row, {"excluded": reason}, f"leave row {row} out" if reason else f"count row {row} again")

    def stand_by(self, row: int, reason: str) -> None:
        """Believe a kept reading although the fit doubts it, or let the fit doubt it again."""
        self._judge(row, {"kept": reason}, f"keep row {row}" if reason else f"let the fit doubt row {row}")

    def _judge(self, row: int, verdict: dict[str, str], word: str) -> None:
        instrument = self._desk.instrument
        if instrument is None or not instrument.calibration.sessions:
            return
        changed = list(self.readings)
        changed[row - 1] = changed[row - 1].model_copy(update=verdict)
        readings = tuple(changed)
        self._background.run(
            partial(_fitted, readings, instrument.movement.kind, None),
            lambda outcome: self._replace_last(instrument, readings, f"{instrument.id}: {word}", outcome),
        )

    def _take_file(
        self, instrument: Instrument, readings: tuple[Reading, ...], note: str, outcome: Outcome
    ) -> None:
        fit, why_not = outcome
        self._add(instrument, Session(note=note, readings=readings, fit=fit))
        self.why_no_fit = why_not
        self.changed.emit()

    def _replace_last(
        self, instrument: Instrument, readings: tuple[Reading, ...], name: str, outcome: Outcome
    ) -> None:
        fit, why_not = outcome
        sessions = instrument.calibration.sessions
        last = sessions[-1].model_copy(update={"readings": readings, "fit": fit})
        self._put(instrument, (*sessions[:-1], last), name)
        self.why_no_fit = why_not
        self.changed.emit()

    def _add(self, instrument: Instrument, session: Session) -> None:
        name = f"{instrument.id}: keep {len(session.readings)} readings"
        self._put(instrument, (*instrument.calibration.sessions, session), name)

    def _put(self, instrument: Instrument, sessions: tuple[Session, ...], name: str) -> None:
        document = self._desk.document
        place = ("instruments", instrument.id, "calibration", "sessions")
        document.replace(with_value(document.panel, place, sessions), name)

    def _show_kept(self) -> None:
        if self.is_live:
            return
        instrument = self._desk.instrument
        sessions = instrument.calibration.sessions if instrument is not None else ()
        last = sessions[-1] if sessions else None
        self.readings = last.readings if last is not None else ()
        self.fit = last.fit if last is not None else None
        self.why_no_fit = ""
        self.changed.emit()

    def _refit(self, limits: tuple[float, float] | None) -> None:
        instrument = self._desk.instrument
        self._asked += 1
        if instrument is None or len(self.readings) < _FEWEST:
            self.fit = None
            self.why_no_fit = f"a fit needs at least {_FEWEST} readings"
            return
        self._background.run(
            partial(_fitted, self.readings, instrument.movement.kind, limits),
            partial(self._take_fit, self._asked),
        )

    def _take_fit(self, asked: int, outcome: Outcome) -> None:
        self._answered = asked
        if asked == self._asked and self.is_live:
            self.fit, self.why_no_fit = outcome
            self.changed.emit()


def _fitted(readings: tuple[Reading, ...], kind: str, limits: tuple[float, float] | None) -> Outcome:
    """Return the fit, or the reason why there is none."""
    try:
        return fit_readings(
            readings, kind="stepper" if kind == "stepper" else "servo", command_limits=limits
        ), ""
    except NeedlewrightError as error:
        return None, str(error)
