"""Changes of the sessions that an instrument keeps, each a value that can wait its turn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from gaugecore.calibration.readings import Reading
from gaugecore.calibration.result import Fit
from gaugecore.panel.document import Instrument, Session
from needlewright.ui.translation import translate


class Change(Protocol):
    """A change of the sessions of one instrument, for which readings have to be fitted first."""

    @property
    def instrument_id(self) -> str:
        """Whose sessions."""

    @property
    def name(self) -> str:
        """What the step is called."""

    def readings(self, instrument: Instrument) -> tuple[Reading, ...] | None:
        """Return what is to be fitted, None when what the change is about is gone."""

    def is_of(self, now: Instrument, then: Instrument) -> bool:
        """Return whether a fit made for the instrument as it was then is the one that is wanted now."""

    def sessions(self, instrument: Instrument, fit: Fit | None) -> tuple[Session, ...]:
        """Return the sessions with the change made."""


@dataclass(frozen=True, slots=True)
class NewSession:
    """Readings and their fit become the session in force."""

    instrument_id: str
    taken: tuple[Reading, ...]
    taken_on: str | None = None
    note: str = ""

    @property
    def name(self) -> str:
        """What the step is called."""
        return translate("session_changes", "keep {0} readings").format(len(self.taken))

    def readings(self, instrument: Instrument) -> tuple[Reading, ...] | None:
        """Return the readings."""
        return self.taken

    def is_of(self, now: Instrument, then: Instrument) -> bool:
        """Return whether it is still the same movement."""
        return now.movement == then.movement

    def sessions(self, instrument: Instrument, fit: Fit | None) -> tuple[Session, ...]:
        """Return the sessions with one more."""
        session = Session(taken_on=self.taken_on, note=self.note, readings=self.taken, fit=fit)
        return (*instrument.calibration.sessions, session)


@dataclass(frozen=True, slots=True)
class Verdict:
    """The user's verdict on one reading of a session.

    Attributes
    ----------
    instrument_id : str
        Whose.
    at : int
        Which session, from 0.
    row : int
        Which reading, from 1.
    seen : tuple of float
        Its command and dial angle, to know it by.
    verdict : mapping
        Fields of the reading and what they become.
    name : str
        What the step is called.
    """

    instrument_id: str
    at: int
    row: int
    seen: tuple[float, float]
    verdict: Mapping[str, str]
    name: str

    def readings(self, instrument: Instrument) -> tuple[Reading, ...] | None:
        """Return the session's readings with the verdict, None when the reading is gone."""
        sessions = instrument.calibration.sessions
        readings = sessions[self.at].readings if self.at < len(sessions) else ()
        if self.row > len(readings):
            return None
        judged = readings[self.row - 1]
        if (judged.command, judged.angle_deg) != self.seen:
            return None
        judged = judged.model_copy(update=dict(self.verdict))
        return (*readings[: self.row - 1], judged, *readings[self.row :])

    def is_of(self, now: Instrument, then: Instrument) -> bool:
        """Return whether movement and readings are still the same."""
        return now.movement == then.movement and self.readings(now) == self.readings(then)

    def sessions(self, instrument: Instrument, fit: Fit | None) -> tuple[Session, ...]:
        """Return the sessions with the judged one in the place of the one before."""
        sessions = list(instrument.calibration.sessions)
        update = {"readings": self.readings(instrument), "fit": fit}
        sessions[self.at] = sessions[self.at].model_copy(update=update)
        return tuple(sessions)
