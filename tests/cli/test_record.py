"""The verb record: what it refuses, and that a faulty face is not passed over in silence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import panel_text
from needlewright.cli.main import main


def panel_file(folder: Path, **face: object) -> Path:
    data = json.loads(panel_text(starter_panel("Desk")))
    data["instruments"][0]["face"] |= face
    path = folder / "desk.panel.json"
    path.write_text(json.dumps(data), "utf-8")
    return path


def test_a_faulty_face_is_recorded_and_told_with_exit_code_1(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, out = panel_file(tmp_path, centre_hole_mm=100.0), tmp_path / "desk.pdf"
    assert main(["record", str(path), "--out", str(out), "--json"]) == 1
    rules = {fault["rule"] for fault in json.loads(capsys.readouterr().out)["faults"]}
    assert "hole-off-the-disc" in rules
    assert out.read_bytes().startswith(b"%PDF")


def test_a_sound_face_is_recorded_with_exit_code_0(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, out = panel_file(tmp_path), tmp_path / "desk.PDF"
    assert main(["record", str(path), "--out", str(out), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["faults"] == []


@pytest.mark.parametrize("name", ["desk.txt", "desk", ".", "desk.pdf.zip"])
def test_another_ending_than_pdf_is_refused(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["record", str(panel_file(tmp_path)), "--out", str(tmp_path / name)]) == 2
    assert "--out: a record is a PDF file" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["desk.panel.json"]
