"""Two programs on one file: nothing that one saved is lost to the other."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from gaugecore.errors import DocumentError, InputError, OutputError
from gaugecore.panel.document import Session
from gaugecore.panel.panel_file import (
    ChangedMeanwhileError,
    add_session,
    open_panel_file,
    save_anyway,
    save_over,
)
from gaugecore.panel.store import load_panel
from needlewright.cli.main import main

SAMPLE = Path(__file__).parents[2] / "samples" / "flap-indicator.panel.json"

_ADDS = """
import sys
from pathlib import Path
from gaugecore.panel.document import Session
from gaugecore.panel.panel_file import add_session
print("ready", flush=True)
sys.stdin.readline()
for number in range(5):
    add_session(Path(sys.argv[1]), sys.argv[2], Session(note=f"{sys.argv[3]} {number}"))
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return Path(shutil.copy(SAMPLE, tmp_path / "flap.panel.json"))


def test_the_second_to_save_is_refused_and_both_panels_are_whole(path: Path) -> None:
    one, other = open_panel_file(path), open_panel_file(path)
    saved = save_over(one, one.panel.model_copy(update={"title": "One"}))
    assert saved.is_current
    assert not other.is_current
    with pytest.raises(ChangedMeanwhileError, match="another program changed the file after it was opened"):
        save_over(other, other.panel.model_copy(update={"title": "Other"}))
    assert load_panel(path).title == "One"
    assert save_over(saved, saved.panel.model_copy(update={"title": "Again"})).is_current
    save_anyway(path, other.panel)
    assert load_panel(path) == other.panel


def test_a_file_that_was_taken_away_is_not_made_anew_unasked(path: Path) -> None:
    opened = open_panel_file(path)
    path.unlink()
    with pytest.raises(ChangedMeanwhileError):
        save_over(opened, opened.panel)
    assert not path.exists()


def test_a_file_that_was_spoilt_meanwhile_is_left_for_its_owner(path: Path) -> None:
    opened = open_panel_file(path)
    path.write_text("{", "utf-8")
    with pytest.raises(ChangedMeanwhileError):
        save_over(opened, opened.panel)
    assert path.read_text("utf-8") == "{"


def test_a_link_round_in_a_circle_is_no_place_for_a_panel(path: Path) -> None:
    (path.parent / "a.panel.json").symlink_to("b.panel.json")
    (path.parent / "b.panel.json").symlink_to("a.panel.json")
    with pytest.raises(OutputError, match="cannot write the file"):
        save_anyway(path.parent / "a.panel.json", load_panel(path))


def test_an_instrument_that_is_gone_is_named(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(DocumentError, match="gone from the panel, found 'rudder'"):
        add_session(path, "rudder", Session())
    assert path.read_bytes() == before


def test_no_more_sessions_than_a_file_may_hold_are_added(path: Path) -> None:
    opened = open_panel_file(path)
    instrument = opened.panel.instruments[0]
    full = instrument.calibration.model_copy(update={"sessions": (Session(),) * 1000})
    save_over(opened, opened.panel.with_instrument(instrument.model_copy(update={"calibration": full})))
    with pytest.raises(InputError, match="at most 1000"):
        add_session(path, instrument.id, Session())
    assert len(load_panel(path).instruments[0].calibration.sessions) == 1000


@pytest.mark.slow
def test_programs_that_add_at_the_same_time_all_come_through(path: Path) -> None:
    panel = load_panel(path)
    instrument = panel.instruments[0]
    before = len(instrument.calibration.sessions)
    children = [
        subprocess.Popen(
            [sys.executable, "-c", _ADDS, str(path), instrument.id, name],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for name in ("one", "two", "three")
    ]
    for child in children:
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n"
    for child in children:
        child.communicate("\n", timeout=60)
        assert child.returncode == 0
    sessions = load_panel(path).instruments[0].calibration.sessions[before:]
    assert sorted(s.note for s in sessions) == sorted(
        f"{n} {k}" for n in ("one", "two", "three") for k in range(5)
    )
    assert [p.name for p in path.parent.iterdir()] == [path.name]  # no lock lies beside the panel


def test_the_terminal_adds_its_fit_to_what_the_file_holds_now(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    readings = next(SAMPLE.parent.glob("*flap*.readings.csv"), next(SAMPLE.parent.glob("*.readings.csv")))
    instrument = load_panel(path).instruments[0]
    assert main(["fit", str(path), "--instrument", instrument.id, str(readings)]) in (0, 1)
    assert "stored in" in capsys.readouterr().out
    after = load_panel(path).instruments[0]
    assert len(after.calibration.sessions) == len(instrument.calibration.sessions) + 1
