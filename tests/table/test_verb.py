"""The verb `table`: what it writes, what it says, what it refuses, and that a refusal writes nothing."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from gaugecore.face.scale import angle_range_deg
from gaugecore.firmware import PROGRAM
from gaugecore.movement.servo import Servo
from gaugecore.panel.document import Calibration, Instrument, Session
from gaugecore.panel.program_of import GUIDE
from gaugecore.panel.store import load_panel, save_panel
from gaugecore.panel.table_of import table_of
from needlewright.cli.main import main
from needlewright.samples import sample_path
from tests.table.test_from_fit import fit_of


@pytest.fixture
def fit_file(tmp_path: Path) -> Path:
    path = tmp_path / "dial.fit.json"
    path.write_text(fit_of().model_dump_json(), "utf-8")
    return path


@pytest.fixture
def panel_file(tmp_path: Path) -> Path:
    """Return the ferry's desk with the rudder calibrated (invented figures)."""
    panel = load_panel(sample_path("ferry-bridge"))
    rudder = panel.instrument("rudder")
    assert rudder is not None
    session = Session(taken_on="2026-11-01", fit=fit_of(arc=angle_range_deg(rudder.face.scale)))
    movement = Servo(pulse_min_us=600, pulse_max_us=2400)
    calibration = Calibration(sessions=(session,))
    rudder = rudder.model_copy(update={"calibration": calibration, "movement": movement})
    path = tmp_path / "desk.panel.json"
    save_panel(panel.with_instrument(rudder), path)
    return path


def on_fit(fit_file: Path, *more: str) -> list[str]:
    return ["table", "--fit", str(fit_file), "--raw", "0", "1023", "--angle", "-70", "70", *more]


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    return err


def test_it_writes_every_form_and_the_report_is_one_json_object(
    fit_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(on_fit(fit_file, "--out", str(tmp_path / "out"), "--json", "--timer-hz", "2000000")) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["unit"] == "ticks"
    assert report["worst_error_in_commands"] <= 1.0
    names = {"nw_table.csv", "nw_table.h", "nw_table.json", "nw_table.py", "needles.h", GUIDE, *PROGRAM} - {
        "README.md"
    }
    assert {path.name for path in (tmp_path / "out").iterdir()} == names


def test_only_the_forms_asked_for_and_nothing_without_out(
    fit_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(on_fit(fit_file)) == 0
    assert "worst error" in capsys.readouterr().out
    out = tmp_path / "out"
    assert main(on_fit(fit_file, "--as", "csv,json", "--name", "flap", "--out", str(out))) == 0
    assert sorted(path.name for path in out.iterdir()) == ["nw_flap.csv", "nw_flap.json"]


def test_two_tables_share_the_firmware_and_the_settings_of_the_user_stay(
    fit_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(on_fit(fit_file, "--as", "c", "--name", "flap", "--out", str(tmp_path))) == 0
    (tmp_path / "needles.h").write_text("mine", "utf-8")
    assert main(on_fit(fit_file, "--as", "c", "--name", "trim", "--out", str(tmp_path))) == 0
    assert (tmp_path / "needles.h").read_text("utf-8") == "mine"
    (tmp_path / "README.md").write_text("mine", "utf-8")
    assert main(on_fit(fit_file, "--as", "c", "--name", "trim", "--out", str(tmp_path), "--force")) == 0
    assert (tmp_path / "needles.h").read_text("utf-8") == "mine"
    assert (tmp_path / "README.md").read_text("utf-8") == "mine"
    (tmp_path / "nw_needle.c").write_text("mine", "utf-8")
    assert main(on_fit(fit_file, "--as", "c", "--name", "slat", "--out", str(tmp_path))) == 2
    assert not (tmp_path / "nw_slat.h").exists()
    assert "nw_needle.c: the file is there already" in capsys.readouterr().err


def test_negative_commands_get_a_header_and_a_sentence_but_no_program(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fit = fit_of(kind="stepper")
    moved = {
        side: tuple(c - 800.0 for c in getattr(fit.knots, side)) for side in ("command_up", "command_down")
    }
    low, high = fit.command_range
    fit = fit.model_copy(
        update={"knots": fit.knots.model_copy(update=moved), "command_range": (low - 800.0, high - 800.0)}
    )
    path = tmp_path / "signed.fit.json"
    path.write_text(fit.model_dump_json(), "utf-8")
    assert main(on_fit(path, "--as", "c", "--out", str(tmp_path / "out"))) == 0
    said = capsys.readouterr().out.splitlines()[-1]
    assert said.startswith(
        "no program beside the header: nw_table: the small program must know the stepper to home it"
    )
    assert [file.name for file in (tmp_path / "out").iterdir()] == ["nw_table.h"]


@pytest.mark.slow
def test_what_is_written_compiles_into_the_small_program(fit_file: Path, tmp_path: Path) -> None:
    assert main(on_fit(fit_file, "--as", "c", "--timer-hz", "2000000", "--out", str(tmp_path))) == 0
    sources = [path.name for path in tmp_path.glob("*.c")]
    words = ["avr-gcc", "-mmcu=atmega328p", "-Os", "-std=c99", "-Wall", "-Wextra", "-Werror", *sources]
    done = subprocess.run(
        [*words, "-o", "needle.elf"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_a_panel_gives_the_table_of_its_instrument(
    panel_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["table", str(panel_file), "--instrument", "rudder", "--out", str(tmp_path), "--pin", "0"]
    assert main(words) == 0
    assert "readings taken: 2026-11-01" in capsys.readouterr().out
    panel = load_panel(panel_file)
    rudder = panel.instrument("rudder")
    assert isinstance(rudder, Instrument)
    table = table_of(panel, rudder)
    assert (table.places.raw_low, table.places.raw_high) == (rudder.raw.low, rudder.raw.high)
    header = (tmp_path / "nw_rudder.h").read_text("ascii")
    assert "exact to the nearest whole at raw: 32768" in header


def test_detent_marks_are_pinned_unasked() -> None:
    panel = load_panel(sample_path("flap-indicator"))
    flap = panel.instruments[0]
    session = Session(fit=fit_of(arc=angle_range_deg(flap.face.scale)))
    movement = Servo(pulse_min_us=600, pulse_max_us=2400)
    calibration = Calibration(sessions=(session,))
    flap = flap.model_copy(update={"calibration": calibration, "movement": movement})
    table = table_of(panel, flap)
    assert flap.face.detent_marks
    assert len(table.pinned_raw) == len({mark.value for mark in flap.face.detent_marks})


def test_files_that_are_there_are_kept_unless_forced(
    fit_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = on_fit(fit_file, "--as", "json", "--out", str(tmp_path))
    assert main(words) == 0
    before = (tmp_path / "nw_table.json").read_bytes()
    capsys.readouterr()
    assert "there already" in refused(capsys, *words)
    assert main([*words, "--force"]) == 0
    assert (tmp_path / "nw_table.json").read_bytes() == before


ON_FIT = ("--fit", "FIT", "--raw", "0", "1023", "--angle", "-70", "70")
REFUSALS = {
    "no panel": (["table"], "a table needs a panel and an instrument"),
    "no ranges": (["table", "--fit", "FIT"], "--fit needs both ranges"),
    "both": (["table", "PANEL", "--fit", "FIT"], "not from both"),
    "which": (["table", "PANEL"], "which instrument?"),
    "no such": (["table", "PANEL", "--instrument", "depth"], "no such instrument, found 'depth'"),
    "not calibrated": (["table", "PANEL", "--instrument", "fuel"], "there is no fit yet"),
    "form": (["table", "--fit", "FIT", "--as", "cobol"], "no such form of a table, found 'cobol'"),
    "raw": (["table", "--fit", "FIT", "--raw", "9", "9", "--angle", "0", "9"], "no width"),
    "angle": (["table", "--fit", "FIT", "--raw", "0", "9", "--angle", "0", "nan"], "not a dial angle"),
    "arc": (["table", "--fit", "FIT", "--raw", "0", "9", "--angle", "0", "99"], "outside the calibrated arc"),
    "flash": (["table", *ON_FIT, "--flash", "40"], "the table is larger than the flash given, found 'about"),
    "bound": (
        ["table", *ON_FIT, "--max-error", "0.2"],
        "below what integers can reach, found 0.2; accepted: 0.",
    ),
    "wide": (["table", "--fit", "FIT", "--raw", "0", "4294967296", "--angle", "0", "9"], "not fit 32 bits"),
    "narrow": (["table", "NARROW", "--instrument", "rudder"], "the limits are narrower than the table"),
    "not monotone": (["table", "--fit", "BENT", "--raw", "0", "9", "--angle", "0", "9"], "must run one way"),
    "pin": (["table", "PANEL", "--instrument", "rudder", "--pin", "x"], "not a place to pin, found 'x'"),
    "pin far": (["table", "PANEL", "--instrument", "rudder", "--pin", "99"], "does not reach"),
    "no file": (["table", "--fit", "none", "--raw", "0", "9", "--angle", "0", "9"], "cannot read the file"),
    "no fit": (["table", "--fit", "PANEL", "--raw", "0", "9", "--angle", "0", "9"], "not a usable fit"),
}


@pytest.mark.parametrize("name", REFUSALS)
def test_bad_input_is_refused_in_one_line_and_nothing_is_written(
    name: str, fit_file: Path, panel_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words, sentence = REFUSALS[name]
    places = {
        "FIT": str(fit_file),
        "PANEL": str(panel_file),
        "none": str(tmp_path / "none.json"),
        "BENT": str(tmp_path / "bent.fit.json"),
        "NARROW": str(tmp_path / "narrow.panel.json"),
    }
    bent = json.loads(fit_file.read_text("utf-8"))
    bent["knots"]["command_up"][10] = bent["knots"]["command_up"][5]
    (tmp_path / "bent.fit.json").write_text(json.dumps(bent), "utf-8")
    panel = load_panel(panel_file)
    rudder = panel.instrument("rudder")
    assert rudder is not None
    narrow = rudder.model_copy(update={"movement": Servo(pulse_min_us=1200, pulse_max_us=1500)})
    save_panel(panel.with_instrument(narrow), tmp_path / "narrow.panel.json")
    words = [places.get(word, word) for word in words]
    assert sentence in refused(capsys, *words, "--out", str(tmp_path / "out"))
    assert not (tmp_path / "out").exists()
