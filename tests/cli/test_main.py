"""The terminal's promises: exit codes, one line of refusal, exactly one JSON object, help for every verb."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from gaugecore.face.presets import preset, preset_names
from gaugecore.panel.document import Panel
from gaugecore.panel.store import load_panel
from needlewright.cli.main import VERBS, main
from needlewright.samples import sample_names

ROOT = Path(__file__).parents[2]


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert err.startswith("needlewright: ")
    return err


@pytest.mark.parametrize("verb", [name.replace("_", "-") for name in VERBS])
def test_every_verb_explains_itself_and_stands_in_the_readme(
    verb: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main([verb, "--help"])
    assert ended.value.code == 0
    assert f"usage: needlewright {verb}" in capsys.readouterr().out
    assert f"`{verb}" in (ROOT / "README.md").read_text("utf-8")


def test_an_unknown_verb_is_refused_in_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert "invalid choice" in refused(capsys, "frobnicate")


def test_a_missing_argument_is_refused_in_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    said = refused(capsys, "check")
    assert said.startswith("needlewright: check: the following arguments are required: PANEL")
    assert "needlewright check --help" in said
    assert refused(capsys).startswith("needlewright: the following arguments are required: VERB")


def test_a_file_that_is_not_there_is_refused_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "cannot read the file" in refused(capsys, "check", str(tmp_path / "none.panel.json"))


def test_new_makes_a_panel_and_never_over_one_that_is_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "desk.panel.json"
    assert main(["new", str(tmp_path / "desk"), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report == {"file": str(path), "instruments": ["dial-1"]}
    before = path.read_bytes()
    assert "there already" in refused(capsys, "new", str(path), "--like", "ferry-bridge")
    assert path.read_bytes() == before
    assert main(["new", str(path), "--like", "ferry-bridge", "--force"]) == 0
    assert len(load_panel(path).instruments) == 3


def test_new_refuses_a_sample_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = refused(capsys, "new", str(tmp_path / "desk"), "--like", "submarine")
    assert all(name in said for name in (*sample_names(), *preset_names()))


def test_new_refuses_another_ending(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "NAME.panel.json" in refused(capsys, "new", str(tmp_path / "desk.txt"))


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("", "the panel has no name"),
        (".", "the panel has no name"),
        ("/", "the panel has no name"),
        ("..", "the panel has no name"),
        (".panel.json", "the panel has no name"),
        ("a\nb", "printable characters, found 'a\\nb.panel.json'"),
        ("x" * 300, "cannot write the file"),
    ],
)
def test_new_refuses_what_is_no_name_in_one_line(
    name: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert said in refused(capsys, "new", name)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", preset_names())
def test_new_takes_a_preset_with_a_needle_and_a_movement_that_suit_its_face(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / f"{name}.panel.json"
    assert main(["new", str(path), "--like", name]) == 0
    (dial,) = load_panel(path).instruments
    assert dial.face == preset(name)
    capsys.readouterr()
    assert main(["check", str(path), "--json"]) == 0
    findings = json.loads(capsys.readouterr().out)["findings"]
    # the dial itself is right; a servo on a plain USB port, or a stepper without a stop, is still cautioned
    assert {f["rule"] for f in findings if f["severity"] == "caution" and ".face" in f["place"]} == set()
    assert {f["rule"] for f in findings if f["severity"] == "caution" and ".pointer" in f["place"]} == set()
    with pytest.raises(SystemExit):
        main(["new", "--help"])
    assert name in capsys.readouterr().out


@pytest.mark.parametrize("name", sample_names())
def test_no_sample_has_a_fault(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(ROOT / "samples" / f"{name}.panel.json"), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert all(finding["severity"] != "fault" for finding in report["findings"])


def test_a_new_panel_has_no_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", str(tmp_path / "desk")]) == 0
    assert main(["check", str(tmp_path / "desk.panel.json")]) == 0


def test_check_ends_with_1_on_a_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "desk.panel.json"
    main(["new", str(path)])
    path.write_text(path.read_text("utf-8").replace('"radius_mm": 18.2', '"radius_mm": 29.5'), "utf-8")
    capsys.readouterr()
    assert main(["check", str(path)]) == 1
    assert "face.numerals" in capsys.readouterr().out


@pytest.mark.slow
def test_a_fault_is_told_by_the_exit_code_even_to_a_reader_that_has_gone(tmp_path: Path) -> None:
    path = tmp_path / "desk.panel.json"
    main(["new", str(path)])
    path.write_text(path.read_text("utf-8").replace('"radius_mm": 18.2', '"radius_mm": 29.5'), "utf-8")
    read, write = os.pipe()
    os.close(read)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "needlewright", "check", str(path)],
            stdout=write,
            stderr=subprocess.PIPE,
            check=False,
        )
    finally:
        os.close(write)
    assert (done.returncode, done.stderr) == (1, b"")


@pytest.mark.slow
def test_the_module_and_the_command_are_one(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "needlewright", "new", str(tmp_path / "a")], capture_output=True, check=False
    )
    assert done.returncode == 0
    assert done.stderr == b""


def test_what_the_system_refuses_without_a_verb_foreseeing_it_is_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refused(path: Path) -> Panel:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr("needlewright.cli.check.load_panel", refused)
    assert main(["check", "a.panel.json"]) == 2
    assert capsys.readouterr().err == "needlewright: a.panel.json: the system refuses (Permission denied)\n"


@pytest.mark.parametrize(
    "words", [["demo", "--out"], ["draw", str(ROOT / "samples" / "flap-indicator.panel.json"), "--out"]]
)
def test_a_folder_name_that_no_disk_takes_is_refused_in_one_line(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "(File name too long)" in refused(capsys, *words, str(tmp_path / ("a" * 300)))
