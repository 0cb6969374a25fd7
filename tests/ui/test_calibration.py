"""The calibration stage over a real socket to a virtual board."""

from __future__ import annotations

from typing import Any

import pytest

from gaugecore.board.session import Doing
from gaugecore.panel.document import Panel
from needlewright.ui.desk import Stage


@pytest.fixture
def stage(make_window: Any, panel: Panel, qtbot: Any) -> Any:
    window = make_window(panel)
    window.desk.open_stage(Stage.CALIBRATION)
    page = window.stages.currentWidget()
    page.said.connect(lambda text: said.append(text))
    said: list[str] = []
    page.heard = said
    with qtbot.waitSignal(page.bench.joined, timeout=10_000):
        page.port.join_wanted.emit("virtual:?seed=4", 9, 1)
    return page


@pytest.mark.slow
def test_a_sitting_from_range_to_fit_is_kept_as_one_step(stage: Any, qtbot: Any, panel: Panel) -> None:
    stage.range.eye_wanted.emit()
    qtbot.waitUntil(lambda: bool(stage.target._state.targets), timeout=10_000)
    assert stage._steps.currentWidget() is stage.target
    stage.target.field.returnPressed.emit()
    qtbot.waitUntil(lambda: stage.target._state.doing is Doing.AT_TARGET, timeout=10_000)
    stage.target.field.setText("50,5")
    stage.target.field.returnPressed.emit()
    qtbot.waitUntil(lambda: len(stage.sitting.readings) == 1, timeout=10_000)
    # half way along a scale of -135 to 135 degrees, decimal comma and all
    assert stage.sitting.readings[0].angle_deg == pytest.approx(1.35)
    qtbot.waitUntil(lambda: stage.target._state.doing is Doing.AT_TARGET, timeout=10_000)
    qtbot.keyClick(stage.target.field, "\b")
    qtbot.waitUntil(lambda: len(stage.sitting.readings) == 0, timeout=10_000)
    stage.target.eye_wanted.emit()
    qtbot.waitUntil(lambda: stage.target._state.doing is Doing.DONE, timeout=20_000)
    qtbot.waitUntil(lambda: stage.sitting.fit is not None, timeout=20_000)
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
    qtbot.waitUntil(lambda: bool(stage.target._state.targets), timeout=10_000)
    stage.target.approach_wanted.emit()
    qtbot.waitUntil(lambda: stage.target._state.doing is Doing.AT_TARGET, timeout=10_000)
    stage.bench.stop()
    qtbot.waitUntil(lambda: stage.target._state.doing is Doing.READY, timeout=10_000)
    assert not stage.target._record.isEnabled()
    stage.bench.record(10.0, go_on=False)
    qtbot.waitUntil(lambda: any("not at a target" in text for text in stage.heard), timeout=5000)
    assert stage.bench._board.status(0).state == "relaxed"


@pytest.mark.slow
def test_a_port_that_is_not_there_is_said_in_one_sentence(stage: Any, qtbot: Any) -> None:
    stage.bench.part()
    with qtbot.waitSignal(stage.bench.refused, timeout=10_000):
        stage.port.join_wanted.emit("/dev/no-such-port", 9, 1)
    assert "/dev/no-such-port" in stage.heard[-1]
