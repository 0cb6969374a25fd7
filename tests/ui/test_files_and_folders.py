"""Files that are gone, open twice or recovered, and a machine that has no place for what is put aside."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QMessageBox

from gaugecore.calibration.readings import Reading
from gaugecore.panel.document import Panel, Session
from gaugecore.panel.edit import with_value
from gaugecore.panel.store import load_panel, save_panel
from needlewright.ui import commands
from needlewright.ui.background import Background
from needlewright.ui.changed_meanwhile import Choice
from needlewright.ui.desk import Desk, Stage
from needlewright.ui.document import PanelDocument
from needlewright.ui.opening import offer_left_behind
from needlewright.ui.recovery import recovery_folder
from needlewright.ui.sitting import Sitting
from tests.calibration.sweeps import sweep


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))


@pytest.fixture
def file(tmp_path: Path, panel: Panel) -> Path:
    path = tmp_path / "desk.panel.json"
    save_panel(panel, path)
    return path


_WINDOW = """
from needlewright.ui.opening import application, open_window
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from needlewright.ui.main_window import MainWindow
app = application()
def tell():
    window = next(one for one in app.topLevelWidgets() if isinstance(one, MainWindow))
    print(window.strip.text, flush=True)
    window.desk.open_stage(type(window.desk.stage).CALIBRATION)
    window.mishap.show_error(ZeroDivisionError("x"))
    print(window.strip.text, flush=True)
    window.close()
QTimer.singleShot(300, tell)
open_window(None)
"""


@pytest.mark.slow
def test_a_window_opens_where_nothing_can_be_put_aside_and_says_so(tmp_path: Path) -> None:
    blocked = tmp_path / "a-file"
    blocked.write_text("no folder", encoding="utf-8")
    env = {**os.environ, "XDG_DATA_HOME": str(blocked / "none"), "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        [sys.executable, "-c", _WINDOW], capture_output=True, text=True, env=env, timeout=60
    )
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    first, second = done.stdout.splitlines()
    assert first.startswith("Unsaved changes are not put aside")
    assert "ZeroDivisionError" in second


def test_a_file_that_is_gone_is_saved_anew(make_window: Any, panel: Panel, file: Path) -> None:
    window = make_window(panel)
    window.commands.open(file)
    window.document.edit(("title",), "Bridge", "title")
    file.unlink()
    assert window.commands.save()
    assert load_panel(file).title == "Bridge"


def test_a_second_window_on_a_file_is_warned_and_the_first_is_not(
    make_window: Any, panel: Panel, file: Path
) -> None:
    first, second = make_window(panel), make_window(panel)
    first.commands.open(file)
    assert first.strip.text == ""
    second.commands.open(file)
    assert "Another window has" in second.strip.text
    first.document.steps.setClean()
    first.close()
    second.document.start(panel, None)
    second.commands.open(file)
    assert second.strip.text == ""


@pytest.mark.parametrize("choice", list(Choice))
def test_a_save_that_would_write_over_another_one_asks_what_to_do(
    make_window: Any, panel: Panel, file: Path, monkeypatch: pytest.MonkeyPatch, choice: Choice
) -> None:
    first, second = make_window(panel), make_window(panel)
    for window, title in ((first, "First"), (second, "Second")):
        window.commands.open(file)
        window.document.edit(("title",), title, "title")
    assert first.commands.save()
    other = file.with_name("other.panel.json")
    monkeypatch.setattr(commands, "changed_meanwhile", lambda *_: choice)
    monkeypatch.setattr(commands.QFileDialog, "getSaveFileName", lambda *_: (str(other), ""))
    assert second.commands.save() is (choice is not Choice.NEITHER)
    assert load_panel(file).title == ("Second" if choice is Choice.REPLACE else "First")
    assert other.exists() is (choice is Choice.SAVE_AS)
    assert second.document.unsaved is (choice is Choice.NEITHER)


def test_a_recovered_panel_knows_its_file_and_the_question_names_it(
    make_window: Any, panel: Panel, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    died = make_window(panel)
    died.commands.open(file)
    died.document.edit(("title",), "Not saved", "title")
    assert died.recovery.keep_now() is not None
    died.recovery._lock.unlock()  # as the system does when the process is killed
    asked: list[str] = []

    def open_them(_parent: Any, _title: str, text: str, *_: Any) -> Any:
        asked.append(text)
        return QMessageBox.StandardButton.Open

    monkeypatch.setattr(QMessageBox, "question", open_them)
    window = make_window(panel)
    offer_left_behind(window)
    assert str(file) in asked[0]
    assert window.document.path == file
    assert window.document.unsaved
    assert window.commands.save()
    assert load_panel(file).title == "Not saved"


def test_a_recovered_panel_does_not_write_over_what_was_saved_meanwhile(
    make_window: Any, panel: Panel, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    died = make_window(panel)
    died.commands.open(file)
    died.document.edit(("title",), "Not saved", "title")
    died.recovery.keep_now()
    died.recovery._lock.unlock()
    save_panel(panel.model_copy(update={"title": "Newer"}), file)
    monkeypatch.setattr(QMessageBox, "question", lambda *_: QMessageBox.StandardButton.Open)
    monkeypatch.setattr(commands, "changed_meanwhile", lambda *_: Choice.NEITHER)
    window = make_window(panel)
    offer_left_behind(window)
    assert not window.commands.save()
    assert load_panel(file).title == "Newer"


def test_a_panel_that_is_saved_leaves_nothing_aside(make_window: Any, panel: Panel, file: Path) -> None:
    window = make_window(panel)
    window.commands.open(file)
    window.document.edit(("title",), "Bridge", "title")
    window.recovery.keep_now()
    assert window.commands.save()
    folder = recovery_folder()
    assert folder is not None
    assert [one.name for one in folder.iterdir() if not one.name.endswith(".lock")] == []


def _many() -> tuple[Reading, ...]:
    readings = sweep(16)
    return (readings * (20_000 // len(readings) + 1))[:20_000]


def test_an_edit_of_something_else_does_not_show_the_readings_again(panel: Panel, qapp: Any) -> None:
    place = ("instruments", "dial-1", "calibration", "sessions")
    document = PanelDocument(with_value(panel, place, (Session(readings=_many()),)))
    sitting = Sitting(Desk(document), Background())
    shown: list[bool] = []
    sitting.changed.connect(lambda: shown.append(True))
    document.edit(("instruments", "dial-1", "title"), "Flaps", "title")
    assert shown == []
    document.replace(with_value(document.panel, place, ()), "forget")
    assert shown == [True]


def test_readings_that_are_kept_are_shown_once(panel: Panel, qapp: Any, qtbot: Any, tmp_path: Path) -> None:
    document = PanelDocument(panel)
    sitting = Sitting(Desk(document), Background())
    shown: list[int] = []
    sitting.changed.connect(lambda: shown.append(len(sitting.readings)))
    rows = "".join(f"{reading.command},{reading.angle_deg}\n" for reading in sweep(16))
    file = tmp_path / "dial.csv"
    file.write_text("command,angle_deg\n" + rows, encoding="utf-8")
    sitting.open_file(file)
    qtbot.waitUntil(lambda: bool(shown), timeout=20_000)
    assert shown == [31]


def test_the_calibration_stage_shows_thousands_of_readings(make_window: Any, panel: Panel) -> None:
    place = ("instruments", "dial-1", "calibration", "sessions")
    window = make_window(with_value(panel, place, (Session(readings=_many()),)))
    window.desk.open_stage(Stage.CALIBRATION)
    table = window.stages.currentWidget().table
    assert table._table.model().rowCount() == 20_000
    table._table.selectRow(19_999)
    assert table._toggle.isEnabled()
    window.document.edit(("instruments", "dial-1", "title"), "Flaps", "title")
    assert table._chosen_row() == 19_999
