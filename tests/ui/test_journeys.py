"""Whole ways through the window: from nothing to a dial with files, and what bad data does to each stage."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QMessageBox

from gaugecore.face.scale_kinds import LinearScale
from gaugecore.panel.document import Panel
from gaugecore.panel.edit import with_value
from gaugecore.panel.store import load_panel
from needlewright.samples import samples_folder
from needlewright.ui.desk import Stage


@pytest.mark.slow
def test_from_an_empty_panel_to_a_calibrated_dial_with_all_its_files(
    make_window: Any, panel: Panel, qtbot: Any, tmp_path: Path
) -> None:
    # the measured servo covers 140 degrees, so the scale does
    scale = LinearScale(low_value=0, high_value=100, low_deg=-70, high_deg=70)
    panel = with_value(panel, ("instruments", "dial-1", "face", "scale"), scale)
    window = make_window(with_value(panel, ("instruments",), ()))
    assert window.desk.instrument is None
    for stage in Stage:
        window.desk.open_stage(stage)
    window.document.replace(panel, "add dial-1")
    assert window.desk.instrument is not None
    readings = samples_folder() / "measured-servo.readings.csv"
    window.commands.take_file(readings)
    qtbot.waitUntil(lambda: bool(window.document.panel.instruments[0].calibration.sessions), timeout=20_000)
    session = window.document.panel.instruments[0].calibration.sessions[0]
    assert len(session.readings) > 5
    window.desk.open_stage(Stage.OUTPUT)
    page = window.stages.currentWidget()
    page.files._folder.setText(str(tmp_path / "out"))
    page.files._write.click()
    qtbot.waitUntil(lambda: window.strip.text != "Writing…", timeout=30_000)
    assert window.strip.text.startswith("Written to")
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"dial-1-face.svg", "dial-1-face.dxf", "dial-1-face.pdf", "record.pdf"} <= names
    page.files._write.click()
    qtbot.waitUntil(lambda: "there already" in window.strip.text, timeout=30_000)
    window.commands._save_to(tmp_path / "desk.panel.json")
    assert load_panel(tmp_path / "desk.panel.json") == window.document.panel
    window.document.steps.setIndex(0)
    assert window.document.panel.instruments == ()


def test_instruments_are_added_copied_renamed_and_removed(make_window: Any, panel: Panel) -> None:
    from needlewright.ui.instrument_list import InstrumentList

    window = make_window(panel)
    instruments = window.findChild(InstrumentList)
    instruments._add.click()
    assert [one.id for one in window.document.panel.instruments] == ["dial-1", "dial-2"]
    assert window.desk.instrument.id == "dial-2"
    instruments._copy.click()
    assert window.desk.instrument.id == "dial-3"
    window.document.edit(("instruments", "dial-3", "id"), "rudder", "name")
    assert window.desk.instrument.id == "rudder"
    instruments._remove.click()
    assert [one.id for one in window.document.panel.instruments] == ["dial-1", "dial-2"]
    window.document.steps.setIndex(0)
    assert window.document.panel == panel


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("a.panel.json", b"{", "not JSON"),
        ("a.panel.json", b"\xff\xfe\x00", "not UTF-8"),
        ("a.csv", b"", "readings"),
        ("a.csv", b"command,angle_deg\n1500,x\n", "x"),
        ("gone.panel.json", None, "cannot read"),
    ],
)
def test_a_bad_file_is_one_sentence_and_the_panel_stays(
    make_window: Any, panel: Panel, tmp_path: Path, name: str, content: bytes | None, said: str
) -> None:
    window = make_window(panel)
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    window.commands.take_file(path)
    assert said in window.strip.text
    assert "\n" not in window.strip.text
    assert window.document.panel == panel


def test_a_face_that_cannot_be_drawn_is_said_and_the_last_picture_stays(
    make_window: Any, panel: Panel
) -> None:
    window = make_window(panel)
    drawn = window.dial.canvas._drawing
    window.document.edit(("instruments", "dial-1", "face", "legends", 0, "text"), "☃", "legend")
    assert "cannot be lettered" in window.strip.text
    assert window.dial.canvas._drawing is drawn
    window.document.steps.undo()
    assert window.strip.text == ""


def test_unsaved_changes_are_asked_about_and_cancel_keeps_the_window(
    make_window: Any, panel: Panel, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = make_window(panel)
    window.document.edit(("instruments", "dial-1", "title"), "x", "title")
    monkeypatch.setattr(QMessageBox, "question", lambda *_: QMessageBox.StandardButton.Cancel)
    window.close()
    assert window.isVisible()
    monkeypatch.setattr(QMessageBox, "question", lambda *_: QMessageBox.StandardButton.Discard)
    window.close()
    assert not window.isVisible()


@pytest.mark.slow
def test_a_remedy_is_one_step(make_window: Any, panel: Panel, qtbot: Any) -> None:
    spoilt = with_value(panel, ("instruments", "dial-1", "raw", "high_value"), 80.0)
    window = make_window(spoilt)
    qtbot.waitUntil(lambda: bool(window.checking.findings), timeout=30_000)
    finding = next(f for f in window.checking.findings if f.rule == "scale-beyond-input")
    window.findings.remedy_wanted.emit(finding)
    qtbot.waitUntil(lambda: window.document.steps.count() == 1, timeout=20_000)
    assert window.document.panel.instruments[0].raw.high_value == 100.0
    window.document.steps.undo()
    assert window.document.panel == spoilt
