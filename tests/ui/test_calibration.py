"""The calibration stage over a real socket to a virtual board."""

from __future__ import annotations

import contextlib
import socket
import subprocess
import sys
import time
from typing import Any

import pytest

from gaugecore.board.session import Doing
from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.plan import staggered_plan
from gaugecore.calibration.readings import read_readings
from gaugecore.face.scale_kinds import LinearScale
from gaugecore.panel.document import Panel, Session
from gaugecore.panel.edit import with_value
from needlewright.samples import samples_folder
from needlewright.ui.desk import Stage
from needlewright.ui.last_sitting import new_file
from needlewright.ui.upload_work import uploaded
from needlewright.upload_job import UploadJob


@pytest.fixture
def stage(make_window: Any, panel: Panel, qtbot: Any) -> Any:
    window = make_window(panel)
    window.desk.open_stage(Stage.CALIBRATION)
    page = window.stages.currentWidget()
    page.said.connect(lambda text: said.append(text))
    said: list[str] = []
    page.heard = said
    with qtbot.waitSignal(page.bench.joined, timeout=30_000):
        page.port.join_wanted.emit("virtual:?seed=4", 9, 1)
    return page


@pytest.mark.slow
def test_a_sitting_from_range_to_fit_is_kept_as_one_step(stage: Any, qtbot: Any, panel: Panel) -> None:
    stage.range.eye_wanted.emit()
    qtbot.waitUntil(lambda: bool(stage.target._state.targets), timeout=30_000)
    assert stage._steps.currentWidget() is stage.target
    stage.target.field.returnPressed.emit()
    qtbot.waitUntil(lambda: stage.target._state.doing is Doing.AT_TARGET, timeout=30_000)
    stage.target.field.setText("50,5")
    stage.target.field.returnPressed.emit()
    qtbot.waitUntil(lambda: len(stage.sitting.readings) == 1, timeout=30_000)
    # half way along a scale of -135 to 135 degrees, decimal comma and all
    assert stage.sitting.readings[0].angle_deg == pytest.approx(1.35)
    qtbot.waitUntil(lambda: stage.target._state.doing is Doing.AT_TARGET, timeout=30_000)
    qtbot.keyClick(stage.target.field, "\b")
    qtbot.waitUntil(lambda: len(stage.sitting.readings) == 0, timeout=30_000)
    stage.target.eye_wanted.emit()
    qtbot.waitUntil(lambda: stage.target._state.doing is Doing.DONE, timeout=20_000)
    qtbot.waitUntil(lambda: stage.sitting.fit_is_of_all, timeout=20_000)
    stage._keep.click()
    document = stage._desk.document
    assert document.panel.instruments[0].calibration.fit is not None
    document.steps.undo()
    assert document.panel == panel


@pytest.mark.slow
def test_stop_bars_what_waits_and_the_needle_cannot_be_read_before_it_is_sent_again(
    stage: Any, qtbot: Any
) -> None:
    stage.range.range_wanted.emit(1200.0, 1800.0)
    qtbot.waitUntil(lambda: bool(stage.target._state.targets), timeout=30_000)
    stage.target.approach_wanted.emit()
    qtbot.waitUntil(lambda: stage.target._state.doing is Doing.AT_TARGET, timeout=30_000)
    stage.bench.stop()
    qtbot.waitUntil(lambda: stage.target._state.doing is Doing.READY, timeout=30_000)
    assert not stage.target._record.isEnabled()
    stage.bench.record(10.0, go_on=False)
    qtbot.waitUntil(lambda: any("not at a target" in text for text in stage.heard), timeout=30_000)
    assert stage.bench._board.status(0).state == "relaxed"


@pytest.mark.slow
def test_a_port_that_is_not_there_is_said_in_one_sentence(stage: Any, qtbot: Any) -> None:
    stage.bench.part()
    with qtbot.waitSignal(stage.bench.refused, timeout=30_000):
        stage.port.join_wanted.emit("/dev/no-such-port", 9, 1)
    assert "/dev/no-such-port" in stage.heard[-1]


def _board_on(port: int) -> subprocess.Popen[bytes]:
    words = ["virtual-board", "--listen", f"127.0.0.1:{port}", "--seed", "4"]
    process = subprocess.Popen(
        [sys.executable, "-m", "needlewright", *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    for _ in range(200):
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=0.2):
            return process
        time.sleep(0.05)
    raise AssertionError("the virtual board did not start")


@pytest.mark.slow
def test_a_board_that_goes_away_costs_no_reading_and_the_sitting_goes_on_when_it_is_back(
    make_window: Any, panel: Panel, qtbot: Any
) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    board = _board_on(port)
    try:
        window = make_window(panel)
        window.desk.open_stage(Stage.CALIBRATION)
        page = window.stages.currentWidget()
        with qtbot.waitSignal(page.bench.joined, timeout=30_000):
            page.port.join_wanted.emit(f"socket://127.0.0.1:{port}", 9, 1)
        page.range.range_wanted.emit(1200.0, 1800.0)
        page.target.approach_wanted.emit()
        page.target.record_wanted.emit(-40.0, True)
        qtbot.waitUntil(
            lambda: len(page.sitting.readings) == 1 and page.target._state.doing is Doing.AT_TARGET,
            timeout=20_000,
        )
        board.kill()
        board.wait()
        with qtbot.waitSignal(page.bench.refused, timeout=30_000):
            page.target.approach_wanted.emit()
        assert "127.0.0.1" in window.strip.text
        assert len(page.sitting.readings) == 1
        board = _board_on(port)
        page.target.approach_wanted.emit()
        qtbot.waitUntil(lambda: page.target._state.doing is Doing.AT_TARGET, timeout=30_000)
        page.target.record_wanted.emit(-20.0, False)
        qtbot.waitUntil(lambda: len(page.sitting.readings) == 2, timeout=30_000)
    finally:
        board.kill()
        board.wait()


@pytest.mark.slow
def test_a_table_goes_into_the_board_that_is_asked_for(panel: Panel) -> None:
    readings = read_readings(samples_folder() / "measured-servo.readings.csv")
    scale = LinearScale(low_value=0, high_value=100, low_deg=-70, high_deg=70)
    session = Session(readings=readings, fit=fit_readings(readings))
    panel = with_value(panel, ("instruments", "dial-1", "face", "scale"), scale)
    panel = with_value(panel, ("instruments", "dial-1", "calibration", "sessions"), (session,))
    said = uploaded(panel, panel.instruments[0], "virtual:?seed=1", UploadJob(max_error=1.0))
    assert "dial-1 is in slot" in said


@pytest.mark.slow
def test_a_sitting_goes_on_after_a_restart(make_window: Any, panel: Panel, qtbot: Any) -> None:
    kept = new_file(panel.title, panel.instruments[0])
    # the plan a board with factory limits gets
    plan = staggered_plan(1000, 2000, readings=9, clockwise_with_command=False)
    rows = "".join(f"{t.command:g},{-20 + 20 * at},up,1,command,\n" for at, t in enumerate(plan[:3]))
    kept.write_text("command,angle_deg,direction,cycle,held,note\n" + rows, encoding="utf-8")
    try:
        window = make_window(panel)
        window.desk.open_stage(Stage.CALIBRATION)
        page = window.stages.currentWidget()
        assert page.port._goes_on.isVisibleTo(page)
        page.port._goes_on.setChecked(True)
        with qtbot.waitSignal(page.bench.joined, timeout=30_000):
            page.port.join_wanted.emit("virtual:?seed=4", 9, 1)
        qtbot.waitUntil(lambda: len(page.sitting.readings) == 3, timeout=30_000)
        page.target.eye_wanted.emit()
        qtbot.waitUntil(lambda: len(read_readings(kept)) > 3, timeout=20_000)
        assert read_readings(kept)[0].angle_deg == -20.0
    finally:
        kept.unlink()


def test_a_suspect_row_is_kept_and_doubted_again(make_window: Any, panel: Panel, qtbot: Any) -> None:
    readings = list(read_readings(samples_folder() / "measured-servo.readings.csv"))[:60]
    readings[7] = readings[7].model_copy(update={"angle_deg": readings[7].angle_deg + 9.0})
    session = Session(readings=tuple(readings), fit=fit_readings(readings))
    assert session.fit is not None
    assert 8 in [row.row for row in session.fit.suspect_rows]
    place = ("instruments", "dial-1", "calibration", "sessions")
    window = make_window(with_value(panel, place, (session,)))
    window.desk.open_stage(Stage.CALIBRATION)
    table = window.stages.currentWidget().table
    table._table.selectRow(7)
    table._keep.click()
    qtbot.waitUntil(lambda: window.document.steps.index() == 1, timeout=20_000)
    last = window.document.panel.instruments[0].calibration.sessions[-1]
    assert last.readings[7].kept
    assert 8 not in [row.row for row in last.fit.suspect_rows]
    table._table.selectRow(7)
    assert table._keep.text() == "Let the fit doubt it"
    window.document.steps.undo()
    assert not window.document.panel.instruments[0].calibration.sessions[-1].readings[7].kept
