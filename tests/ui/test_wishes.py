"""Wishes beyond the panel: what a board does in silence, how a drive goes, what is asked of a table."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt

from gaugecore.panel.document import Panel
from gaugecore.panel.silence import Silence, command_on
from gaugecore.table.from_fit import Wanted
from needlewright.ui.desk import Stage
from needlewright.ui.drive_words import silence_words
from needlewright.ui.driving import DriveShown
from needlewright.ui.wishes import NeedlesThen


@pytest.fixture
def window(make_window: Any, calibrated: Panel) -> Any:
    return make_window(calibrated)


def _drive_page(window: Any) -> Any:
    window.desk.open_stage(Stage.OUTPUT)
    output = window.stages.currentWidget()
    output.tabs.setCurrentWidget(output.drive)
    return output.drive


def test_nothing_wished_stores_nothing_in_the_board(window: Any) -> None:
    job = _drive_page(window).job()
    assert job.silence == Silence()
    assert (job.rate_hz, job.playing.speed, job.playing.start_s, job.replace) == (50.0, 1.0, 0.0, False)


def test_what_is_wished_of_silence_is_in_the_board_of_the_drive_and_said(window: Any, qtbot: Any) -> None:
    page = _drive_page(window)
    page.silence.set_open(True)
    after = page.silence.rows["after_s"]
    qtbot.mouseClick(after.label, Qt.MouseButton.LeftButton)
    after.editor.selectAll()
    qtbot.keyClicks(after.editor, "90")
    assert after._complaint.text() == "Accepted: 0.1 to 60 s."
    after.editor.selectAll()
    qtbot.keyClicks(after.editor, "2,5")
    qtbot.keyClick(after.editor, Qt.Key.Key_Return)
    page.silence.wish("needles_then", NeedlesThen.RELAX)
    page.silence.park(10.0)
    rudder = window.desk.instrument
    wanted = Silence(watchdog_s=2.5, losses={"": "relax", "rudder": command_on(rudder, 10.0)})
    assert page.job().silence == wanted
    page.clamp.setChecked(True)
    shown: list[DriveShown] = []
    page.driving.shown.connect(shown.append)
    page.go.click()
    assert not page.silence.is_open
    qtbot.waitUntil(lambda: bool(shown), timeout=30_000)
    page.driving.stop()
    qtbot.waitUntil(lambda: not page.driving.is_on, timeout=30_000)
    kept = shown[0].kept
    assert kept is not None
    assert (kept.watchdog_s, kept.parks_deg["rudder"]) == (2.5, pytest.approx(24.0, abs=0.5))  # 2.4° a degree
    assert "After 2.5 s without a word from here the board parks rudder at 24" in silence_words(kept)


def test_only_a_dial_that_can_be_driven_can_be_parked(window: Any) -> None:
    page = _drive_page(window)
    assert page.silence.own_row.field.label == "Park rudder at"
    window.desk.take_instrument("fuel")
    assert page.silence.own_row is None
    assert window.desk.instrument.calibration.fit is None


def test_further_demands_hold_for_table_files_and_upload(window: Any) -> None:
    window.desk.open_stage(Stage.TABLE)
    table = window.stages.currentWidget()
    for name, value in (
        ("turn_back_by", 8),
        ("timer_hz", 2e6),
        ("most_flash_bytes", 900),
        ("exact_ends", True),
    ):
        table.more.wish(name, value)
    wanted = Wanted(hysteresis=8, timer_hz=2e6, flash_bytes=900, pin_ends=True)
    window.desk.open_stage(Stage.OUTPUT)
    assert window.stages.currentWidget().files._order().wanted == wanted
    table.more.wish("turn_back_by", -1)
    assert table.more.wishes.turn_back_by == 8


def test_a_port_is_chosen_once_for_all_stages(window: Any) -> None:
    window.desk.open_stage(Stage.TABLE)
    table = window.stages.currentWidget()
    window.desk.take_port("socket://bench:5000")
    page = _drive_page(window)
    assert table._port.currentText() == page.port.currentText() == "socket://bench:5000"
    window.desk.open_stage(Stage.CALIBRATION)
    assert window.stages.currentWidget().port._port.currentText() == "socket://bench:5000"
