"""The verb draw: files, refusals, exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gaugecore.panel.store import load_panel, save_panel
from needlewright.cli.main import main

SAMPLE = Path(__file__).parents[2] / "samples" / "ferry-bridge.panel.json"


def test_everything_of_one_instrument_in_every_format(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["draw", str(SAMPLE), "--instrument", "rudder", "--out", str(tmp_path), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    names = {Path(path).name for path in report["files"]}
    assert {
        f"{part}.{form}"
        for part in ("rudder-face", "rudder-pointer", "test-card")
        for form in ("svg", "dxf", "pdf")
    } <= names
    assert {path.name for path in tmp_path.iterdir()} == names


def test_one_format_and_the_cautions(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draw", str(SAMPLE), "--as", "svg", "--out", str(tmp_path)]) == 0
    out = capsys.readouterr().out
    assert "never cut PVC" in out
    assert "actual size" in out
    assert {path.suffix for path in tmp_path.iterdir()} == {".svg"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--as", "png"], "--as: unknown format, found 'png'; accepted: svg, dxf, pdf"),
        (["--as", ","], "--as: no format is named"),
        (["--instrument", "depth"], "the panel has no such instrument, found 'depth'"),
    ],
)
def test_refusals(words: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draw", str(SAMPLE), "--out", str(tmp_path / "out"), *words]) == 2
    err = capsys.readouterr().err
    assert said in err
    assert err.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_files_are_not_replaced_unasked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["draw", str(SAMPLE), "--instrument", "fuel", "--as", "svg", "--out", str(tmp_path)]
    assert main(words) == 0
    (tmp_path / "fuel-face.svg").write_text("mine")
    assert main(words) == 2
    assert "--force" in capsys.readouterr().err
    assert (tmp_path / "fuel-face.svg").read_text() == "mine"
    assert main([*words, "--force"]) == 0
    assert (tmp_path / "fuel-face.svg").read_text() != "mine"


def test_a_face_with_a_fault_is_drawn_and_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    panel = load_panel(SAMPLE)
    rudder = panel.instruments[0]
    face = rudder.face.model_copy(update={"bezel_mm": 8.0})
    path = tmp_path / "bad.panel.json"
    save_panel(panel.with_instrument(rudder.model_copy(update={"face": face})), path)
    assert main(["draw", str(path), "--as", "svg", "--out", str(tmp_path / "out")]) == 1
    assert "instruments.rudder.face.graduations" in capsys.readouterr().out


def test_a_text_that_cannot_be_lettered_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = load_panel(SAMPLE)
    rudder = panel.instruments[0]
    legend = rudder.face.legends[0].model_copy(update={"text": "RUDDER ☃"})
    face = rudder.face.model_copy(update={"legends": (legend,)})
    path = tmp_path / "bad.panel.json"
    save_panel(panel.with_instrument(rudder.model_copy(update={"face": face})), path)
    assert main(["draw", str(path), "--out", str(tmp_path / "out")]) == 2
    err = capsys.readouterr().err
    assert "instruments.rudder.face.legends.0.text: the character '☃'" in err
    assert "RUDDER ☃" in err
    assert not (tmp_path / "out").exists()
