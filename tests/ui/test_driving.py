"""Driving from the window: values in, needles out, counters shown, and a stop that is one key away."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt

from gaugecore.calibration.fit import fit_readings
from gaugecore.feed.recording import read_recording
from gaugecore.panel.document import Calibration, Panel, Session
from needlewright.ui.desk import Stage

pytestmark = pytest.mark.slow


@pytest.fixture
def window(make_window: Any, calibrated: Panel) -> Any:
    made = make_window(calibrated)
    made.desk.take_instrument("rudder")
    made.desk.open_stage(Stage.OUTPUT)
    page = made.stages.currentWidget()
    page.tabs.setCurrentWidget(page.drive)
    page.drive.clamp.setChecked(True)  # the rudder's readings end before its scale does
    return made


def test_a_signal_moves_the_needle_on_the_canvas_and_escape_stops_it(
    window: Any, qtbot: Any, tmp_path: Path
) -> None:
    page = window.stages.currentWidget().drive
    angles: list[float] = []
    page.needle_shown.connect(lambda angle: angles.append(angle) if angle is not None else None)
    page.feed.setCurrentText("signal:sine?period=2")
    page.record.setText(str(tmp_path / "came-in.csv"))
    page.go.click()
    qtbot.waitUntil(lambda: len(angles) > 20 and max(angles) - min(angles) > 20.0, timeout=30_000)
    assert "median" in page.words.text()
    assert "Left out" in window.strip.text
    # from anywhere: the list of instruments has the focus
    window.findings.setFocus()
    qtbot.keyClick(window, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not page.driving.is_on, timeout=30_000)
    # the drive's last word is on its way when its thread is gone
    qtbot.waitUntil(lambda: not page.halt.isEnabled(), timeout=30_000)
    assert not window._escape.isEnabled()
    assert len(read_recording(tmp_path / "came-in.csv").rows) > 10


def test_a_drive_that_is_ended_parks_and_can_begin_again(window: Any, qtbot: Any) -> None:
    page = window.stages.currentWidget().drive
    for _ in range(2):
        page.go.click()
        qtbot.waitUntil(lambda: "median" in page.words.text(), timeout=30_000)
        page.go.click()
        qtbot.waitUntil(lambda: not page.driving.is_on and page.go.text() == "Drive", timeout=20_000)


def test_a_scale_beyond_the_calibrated_arc_is_refused_until_its_ends_will_do(
    make_window: Any, calibrated: Panel, qtbot: Any
) -> None:
    rudder = calibrated.instrument("rudder")
    assert rudder is not None
    # the scale runs from -84 to 84 degrees; without the outer readings the fit falls short of it
    (session,) = rudder.calibration.sessions
    inner = tuple(reading for reading in session.readings if abs(reading.angle_deg) < 75.0)
    short = Calibration(sessions=(Session(readings=inner, fit=fit_readings(inner)),))
    window = make_window(calibrated.with_instrument(rudder.model_copy(update={"calibration": short})))
    window.desk.take_instrument("rudder")
    window.desk.open_stage(Stage.OUTPUT)
    tabs = window.stages.currentWidget()
    tabs.tabs.setCurrentWidget(tabs.drive)
    page = window.stages.currentWidget().drive
    page.clamp.setChecked(False)
    page.go.click()
    qtbot.waitUntil(lambda: "beyond the calibrated arc" in window.strip.text, timeout=20_000)
    qtbot.waitUntil(lambda: page.go.text() == "Drive", timeout=20_000)


@pytest.mark.parametrize(
    ("port", "feed", "said"),
    [
        ("/dev/no-such-port", "signal:sine", "no-such-port"),
        ("virtual:?seed=1", "signal:square", "no such signal"),
        ("virtual:?seed=1", "/nowhere/trace.csv", "cannot read"),
        ("virtual:?seed=1", "udp://:99999", "udp"),
        ("virtual:?seed=1", "", "no such feed"),
    ],
)
def test_what_cannot_be_driven_is_one_sentence(
    window: Any, qtbot: Any, port: str, feed: str, said: str
) -> None:
    page = window.stages.currentWidget().drive
    page.port.setCurrentText(port)
    page.feed.setCurrentText(feed)
    page.go.click()
    qtbot.waitUntil(lambda: said in window.strip.text, timeout=20_000)
    qtbot.waitUntil(lambda: page.go.text() == "Drive", timeout=20_000)


def test_a_panel_without_a_fit_says_so(make_window: Any, panel: Panel, qtbot: Any) -> None:
    window = make_window(panel)
    window.desk.open_stage(Stage.OUTPUT)
    window.stages.currentWidget().drive.go.click()
    qtbot.waitUntil(lambda: "has a fit yet" in window.strip.text, timeout=30_000)


def test_closing_the_window_ends_the_drive(window: Any, qtbot: Any) -> None:
    page = window.stages.currentWidget().drive
    page.go.click()
    qtbot.waitUntil(lambda: "median" in page.words.text(), timeout=30_000)
    window.document.steps.setClean()
    window.close()
    assert not page.driving.is_on
