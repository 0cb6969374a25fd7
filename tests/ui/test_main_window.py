"""The window over a panel: what it shows, and that it comes down clean."""

from __future__ import annotations

from typing import Any

from gaugecore.panel.document import Panel
from needlewright.ui.desk import Stage


def test_a_window_shows_the_dial_and_its_findings(make_window: Any, panel: Panel, qtbot: Any) -> None:
    window = make_window(panel)
    with qtbot.waitSignal(window.checking.found, timeout=5000):
        pass
    assert window.dial.canvas._drawing is not None
    rules = [finding.rule for finding in window.checking.findings]
    assert "not-calibrated" in rules
    assert window.findings._list.count() == len(window.checking.findings)


def test_every_stage_opens(make_window: Any, panel: Panel) -> None:
    window = make_window(panel)
    for stage in Stage:
        window.desk.open_stage(stage)
        assert window.stages.currentWidget().isVisible()
