"""The demo does the whole job, and the needle is the better for it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from needlewright.cli.main import main


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "out"
    assert main(["demo", "--out", str(folder)]) == 0
    return folder


@pytest.mark.slow
def test_calibration_brings_every_needle_close_to_the_hidden_truth(out: Path) -> None:
    report = json.loads((out / "demo.json").read_text("utf-8"))
    assert [row["instrument"] for row in report["instruments"]] == ["rudder", "shaft-speed", "fuel", "flap"]
    for row in report["instruments"]:
        assert row["error_95_after_deg"] < 0.8
        assert row["error_95_after_deg"] < row["error_95_before_deg"] / 3
        assert row["worst_error_after_deg"] < row["worst_error_before_deg"] / 3
        assert row["table_worst_error_us"] <= 1.0


@pytest.mark.slow
def test_every_promised_file_is_there(out: Path) -> None:
    report = json.loads((out / "demo.json").read_text("utf-8"))
    there = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    assert set(report["files"]) == there
    for ending in (".svg", ".dxf", ".pdf", ".h", ".py", ".csv", ".json"):
        assert any(name.endswith(ending) for name in there)


@pytest.mark.slow
def test_the_panel_it_leaves_has_a_fit_for_every_dial_and_no_fault(
    out: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", str(out / "ferry-bridge" / "ferry-bridge.panel.json"), "--json"]) == 0
    findings = json.loads(capsys.readouterr().out)["findings"]
    assert not [finding for finding in findings if finding["rule"] == "not-calibrated"]


@pytest.mark.slow
def test_a_folder_with_other_things_in_it_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    assert main(["demo", "--out", str(tmp_path)]) == 2
    assert "not an earlier demo" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_a_file_where_the_folder_should_be_is_said_to_be_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "a.pdf"
    path.write_text("mine")
    assert main(["demo", "--out", str(path)]) == 2
    assert "this is a file, and the demo needs a folder" in capsys.readouterr().err
    assert path.read_text() == "mine"
