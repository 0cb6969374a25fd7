"""A full disk, a folder that takes nothing: one sentence, the file before it whole, the work kept."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from gaugecore.panel.store import load_panel

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "samples" / "flap-indicator.panel.json"
READINGS = sorted((ROOT / "samples").glob("*.readings.csv"))[0]

#: Runs the terminal with files held to a size, as on a disk without room, or as a user who owns nothing.
_CHILD = """
import contextlib, io, os, resource, signal, sys
how, given, *words = sys.argv[1:]
from needlewright.cli.main import main
if how == "room":
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(given), int(given)))
elif how == "nobody":
    # once as ourselves on a copy: afterwards nothing is left to import, which nobody may not
    with contextlib.redirect_stdout(io.StringIO()):
        main([given if word == words[1] else word for word in words])
    if os.getuid() == 0:
        os.setgroups([])
        os.setuid(65534)
sys.exit(main(words))
"""


def _terminal(how: str, given: object, *words: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", _CHILD, how, str(given), *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
    )


def _said_once(done: subprocess.CompletedProcess[str], words: str) -> None:
    assert done.returncode == 2, done.stderr
    assert words in done.stderr
    assert done.stderr.count("\n") == 1
    assert done.stdout == ""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "panels"
    folder.mkdir()
    shutil.copy(SAMPLE, folder / "flap.panel.json")
    return folder


@pytest.mark.slow
def test_a_disk_without_room_leaves_the_panel_as_it_was(folder: Path) -> None:
    panel = folder / "flap.panel.json"
    before = panel.read_bytes()
    instrument = load_panel(panel).instruments[0].id
    done = _terminal("room", 1000, "fit", panel, "--instrument", instrument, READINGS)
    _said_once(done, "cannot write the file (File too large)")
    assert panel.read_bytes() == before
    assert [path.name for path in folder.iterdir()] == [panel.name]


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that another user can look into; those of pytest are closed to others all the way up."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        yield Path(name)


@pytest.mark.slow
def test_a_folder_that_takes_nothing_leaves_the_panel_as_it_was(open_folder: Path, tmp_path: Path) -> None:
    folder = open_folder / "panels"
    folder.mkdir()
    panel, readings = folder / "flap.panel.json", folder / "readings.csv"
    shutil.copy(SAMPLE, panel)
    shutil.copy(READINGS, readings)
    copy = shutil.copy(panel, tmp_path / "copy.panel.json")
    before = panel.read_bytes()
    instrument = load_panel(panel).instruments[0].id
    folder.chmod(0o555)
    try:
        done = _terminal("nobody", copy, "fit", panel, "--instrument", instrument, readings)
    finally:
        folder.chmod(0o755)
    _said_once(done, "cannot write the file (Permission denied)")
    assert panel.read_bytes() == before


@pytest.mark.slow
def test_outputs_that_do_not_fit_are_written_none_at_all(folder: Path) -> None:
    panel, out = folder / "flap.panel.json", folder / "out"
    done = _terminal("room", 4000, "draw", panel, "--out", out)
    _said_once(done, "cannot write the file (File too large)")
    assert list(out.iterdir()) == []


def test_a_file_in_place_of_the_folder_is_named(folder: Path) -> None:
    (folder / "out").write_text("a file", "utf-8")
    done = _terminal("", 0, "draw", folder / "flap.panel.json", "--out", folder / "out")
    _said_once(done, "cannot make the folder (File exists)")


@pytest.mark.slow
def test_a_calibration_that_cannot_be_stored_keeps_its_readings(folder: Path) -> None:
    panel = folder / "flap.panel.json"
    before = panel.read_bytes()
    out = folder / "kept.readings.csv"
    words = ("calibrate", panel, "--port", "virtual:?pace=1000", "--observe", "--readings", 13, "--store")
    done = _terminal("room", 6000, *words, "--out", out)
    _said_once(done, f"the readings are kept in {out}")
    assert panel.read_bytes() == before
    assert out.read_text("utf-8").count("\n") > 13
