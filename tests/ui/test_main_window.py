"""The window over a panel: what it shows, and that it comes down clean."""

from __future__ import annotations

import gc
from typing import Any

from gaugecore.calibration.readings import read_readings
from gaugecore.panel.document import Panel
from needlewright.samples import samples_folder
from needlewright.ui.desk import Stage
from needlewright.ui.instrument_list import InstrumentList
from needlewright.ui.readings_table import ReadingsTable
from needlewright.ui.tidying import Tidying


def test_a_window_shows_the_dial_and_its_findings(make_window: Any, panel: Panel, qtbot: Any) -> None:
    window = make_window(panel)
    with qtbot.waitSignal(window.checking.found, timeout=30_000):
        pass
    assert window.dial.canvas._drawing is not None
    rules = [finding.rule for finding in window.checking.findings]
    assert "not-calibrated" in rules
    assert window.findings._list.count() == len(window.checking.findings)


def test_an_edit_that_changes_no_finding_leaves_the_list_as_it_was_scrolled(
    make_window: Any, panel: Panel, qtbot: Any
) -> None:
    window = make_window(panel)
    with qtbot.waitSignal(window.checking.found, timeout=30_000):
        pass
    bar = window.findings._list.verticalScrollBar()
    qtbot.waitUntil(lambda: bar.maximum() > 0, timeout=30_000)
    bar.setValue(bar.maximum())
    with qtbot.waitSignal(window.checking.found, timeout=30_000):
        window.document.edit(("note",), "Bench by the window", "edit")
    assert bar.value() == bar.maximum() > 0


def test_the_list_of_instruments_says_what_an_edit_made_of_them(make_window: Any, panel: Panel) -> None:
    window = make_window(panel)
    rows = window.findChild(InstrumentList)._list
    window.document.edit(("instruments", "dial-1", "title"), "Trim", "edit")
    window.document.edit(("instruments", "dial-1", "unit"), "deg", "edit")
    assert (rows.item(0).text(), rows.item(0).toolTip()) == ("Trim, deg", "Trim, deg")
    window.document.steps.undo()
    window.document.steps.undo()
    assert rows.item(0).text() == f"{panel.instruments[0].title}, {panel.instruments[0].unit}"


def test_what_is_loaded_once_is_no_more_walked_through(make_window: Any, panel: Panel, qtbot: Any) -> None:
    window = make_window(panel)
    Tidying(window)
    try:
        with qtbot.waitSignal(window.checking.found, timeout=30_000):
            pass
        assert gc.get_freeze_count() > 10_000
    finally:
        gc.unfreeze()


def test_every_stage_opens(make_window: Any, panel: Panel) -> None:
    window = make_window(panel)
    for stage in Stage:
        window.desk.open_stage(stage)
        assert window.stages.currentWidget().isVisible()


def test_the_value_under_a_held_needle_is_shown_and_cannot_be_typed(make_window: Any, panel: Panel) -> None:
    window = make_window(panel)
    bar = window.dial.bar
    window.dial.show_needle(0.0)
    assert not bar.isEnabled()
    assert bar._number.value() == 50.0
    assert bar._angle.text() == "0.0°"
    window.dial.show_needle(None)
    assert bar.isEnabled()


def test_a_table_of_twenty_thousand_readings_is_a_view_of_them(qtbot: Any, qapp: Any) -> None:
    table = ReadingsTable()
    qtbot.addWidget(table)
    readings = read_readings(samples_folder() / "measured-servo.readings.csv")
    many = (readings * (20_000 // len(readings) + 1))[:20_000]
    table.show_readings(many, None)
    assert table._table.model().rowCount() == 20_000
    assert not hasattr(table._table, "item")
