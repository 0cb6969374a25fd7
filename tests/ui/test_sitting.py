"""Readings on the calibration stage: no verdict and no session is lost, and the fit is that of `fit`."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import pytest

from gaugecore.board.session import SessionState
from gaugecore.calibration.readings import Reading, format_readings
from gaugecore.calibration.suspects import OUTSIDE_LIMITS
from gaugecore.panel.document import Panel, Session
from gaugecore.panel.edit import with_value
from gaugecore.panel.fit_for import fit_for
from needlewright.ui.background import Background
from needlewright.ui.desk import Desk
from needlewright.ui.document import PanelDocument
from needlewright.ui.sitting import Sitting
from tests.calibration.sweeps import sweep

SESSIONS = ("instruments", "dial-1", "calibration", "sessions")


class _Slow(Background):
    """Runs errands when told to, in the order told: the test says when a fit is done."""

    def __init__(self) -> None:
        super().__init__()
        self.errands: list[tuple[Any, Any]] = []

    def run(self, do: Any, then: Any) -> None:
        self.errands.append((do, then))

    def finish(self, at: int = 0) -> None:
        do, then = self.errands.pop(at)
        then(do())

    def finish_all(self) -> None:
        while self.errands:
            self.finish()


class _Bench:
    """A sitting, its document, and the slow background."""

    def __init__(self, panel: Panel) -> None:
        self.document = PanelDocument(panel)
        self.desk = Desk(self.document)
        self.slow = _Slow()
        self.sitting = Sitting(self.desk, self.slow)
        self.said: list[str] = []
        self.sitting.said.connect(self.said.append)

    @property
    def sessions(self) -> tuple[Session, ...]:
        return self.document.panel.instruments[0].calibration.sessions

    @property
    def excluded(self) -> list[int]:
        return [row for row, reading in enumerate(self.sessions[-1].readings, start=1) if reading.excluded]


@pytest.fixture
def kept(panel: Panel, qapp: Any) -> _Bench:
    readings = sweep(16)
    session = Session(readings=readings, fit=fit_for(panel.instruments[0], readings))
    return _Bench(with_value(panel, SESSIONS, (session,)))


def _file(folder: Path, readings: tuple[Reading, ...], comment: str = "") -> Path:
    path = folder / "dial.csv"
    path.write_text(format_readings(readings, comment=comment), encoding="utf-8")
    return path


def test_two_rows_left_out_before_the_first_fit_returns_are_both_left_out(kept: _Bench) -> None:
    kept.sitting.exclude(3, "bumped")
    kept.sitting.exclude(5, "bumped")
    kept.slow.finish_all()
    assert kept.excluded == [3, 5]
    assert kept.sessions[-1].fit == fit_for(kept.document.panel.instruments[0], kept.sessions[-1].readings)
    kept.document.steps.undo()
    assert kept.excluded == [3]
    kept.document.steps.undo()
    assert kept.excluded == []


def test_a_row_left_out_after_a_file_was_opened_changes_the_session_that_was_shown(
    kept: _Bench, tmp_path: Path
) -> None:
    opened = sweep(16, seed=7)
    kept.sitting.open_file(_file(tmp_path, opened))
    kept.sitting.exclude(3, "bumped")
    kept.slow.finish_all()
    assert [len(session.readings) for session in kept.sessions] == [31, 31]
    assert kept.sessions[0].readings[2].excluded == "bumped"
    assert kept.sessions[1].readings == opened
    assert kept.sessions[1].fit is not None


def test_an_edit_made_while_a_fit_is_made_stays(kept: _Bench) -> None:
    kept.sitting.exclude(3, "bumped")
    kept.document.edit(("instruments", "dial-1", "title"), "Flaps", "title")
    kept.slow.finish_all()
    assert kept.document.panel.instruments[0].title == "Flaps"
    assert kept.excluded == [3]


def test_a_fit_made_for_another_movement_is_made_anew(kept: _Bench) -> None:
    kept.sitting.exclude(3, "bumped")
    kept.document.edit(("instruments", "dial-1", "movement", "pulse_max_us"), 1900.0, "limit")
    kept.slow.finish_all()
    assert kept.sessions[-1].fit is not None
    assert kept.sessions[-1].fit.command_range[1] <= 1900.0


def test_readings_that_are_gone_when_their_turn_comes_are_said_to_be_gone(kept: _Bench) -> None:
    kept.sitting.exclude(3, "bumped")
    kept.document.replace(with_value(kept.document.panel, SESSIONS, ()), "forget")
    kept.slow.finish_all()
    assert kept.sessions == ()
    assert kept.said == ["leave row 3 out: the readings are gone from the panel, nothing was changed."]


def test_an_instrument_that_is_gone_when_the_fit_returns_is_no_mishap(kept: _Bench, tmp_path: Path) -> None:
    kept.sitting.open_file(_file(tmp_path, sweep(16)))
    kept.document.replace(kept.document.panel.model_copy(update={"instruments": ()}), "clear")
    kept.slow.finish_all()
    assert len(kept.said) == 1
    assert kept.document.panel.instruments == ()


def test_what_waits_is_given_up_when_an_errand_fails_and_later_wishes_are_heard(kept: _Bench) -> None:
    kept.sitting.exclude(3, "bumped")
    kept.slow.errands.clear()
    kept.slow.broke.emit(ZeroDivisionError())
    kept.sitting.exclude(5, "bumped")
    kept.slow.finish_all()
    assert kept.excluded == [5]


def test_live_readings_are_kept_with_a_fit_of_all_of_them(panel: Panel, qapp: Any) -> None:
    bench = _Bench(panel)
    bench.sitting.go_live(panel.instruments[0], "2026-03-14")
    readings = sweep(16)
    bench.sitting.follow(SessionState(readings=readings[:20]))
    bench.slow.finish_all()
    bench.sitting.follow(SessionState(readings=readings))
    bench.sitting.keep()  # the fit of all is not there yet
    bench.slow.finish_all()
    (session,) = bench.sessions
    assert session.readings == readings
    assert session.fit == fit_for(panel.instruments[0], readings)
    assert session.taken_on == "2026-03-14"
    assert bench.said == ["31 readings and their fit are in the panel; save it to keep them."]


def test_readings_that_make_no_fit_are_taken_and_the_reason_is_said(
    panel: Panel, qapp: Any, tmp_path: Path
) -> None:
    bench = _Bench(panel)
    bench.sitting.open_file(_file(tmp_path, sweep(16)[:3]))
    bench.slow.finish_all()
    assert [(len(s.readings), s.fit) for s in bench.sessions] == [(3, None)]
    assert "3 readings are in the panel, with no fit: too few readings" in bench.said[0]
    assert "too few readings" in bench.sitting.why_no_fit


def test_the_window_fits_a_file_as_the_verb_does_within_the_limits_of_the_movement(
    panel: Panel, qapp: Any, tmp_path: Path
) -> None:
    limited = with_value(panel, ("instruments", "dial-1", "movement", "pulse_max_us"), 1900.0)
    bench = _Bench(limited)
    readings = sweep(21)
    bench.sitting.open_file(_file(tmp_path, readings))
    bench.slow.finish_all()
    (session,) = bench.sessions
    assert session.fit is not None
    assert session.fit == fit_for(limited.instruments[0], readings)
    assert OUTSIDE_LIMITS in {row.reason for row in session.fit.suspect_rows}


@pytest.mark.parametrize(
    ("comment", "day"),
    [("Flaps, 2026-03-14", "2026-03-14"), ("Flaps", None), ("Flaps, 2026-13-45", None), ("", None)],
)
def test_a_file_is_of_the_day_its_first_comment_says_and_of_no_other(
    panel: Panel, qapp: Any, tmp_path: Path, comment: str, day: str | None
) -> None:
    bench = _Bench(panel)
    bench.sitting.open_file(_file(tmp_path, sweep(16), comment))
    bench.slow.finish_all()
    assert bench.sessions[0].taken_on == day
    assert bench.sessions[0].taken_on != datetime.date.today().isoformat()
