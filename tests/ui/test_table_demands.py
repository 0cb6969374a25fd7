"""What is demanded at the table stage holds for the files and for the board too."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from gaugecore.board.board import Board
from gaugecore.calibration.fit import fit_readings
from gaugecore.face.scale_kinds import LinearScale
from gaugecore.panel.board_table import board_table
from gaugecore.panel.document import Panel, Session
from gaugecore.panel.edit import with_value
from gaugecore.table.from_fit import Wanted
from needlewright.ui.called_off import Cancelled
from needlewright.ui.desk import Stage
from needlewright.ui.output_preview import OutputPreview
from needlewright.ui.output_work import Order, carried_out, pictured
from needlewright.ui.table_work import table_view
from needlewright.ui.upload_work import uploaded
from needlewright.upload_job import UploadJob
from tests.calibration.sweeps import sweep


@pytest.fixture
def calibrated(panel: Panel) -> Panel:
    """A dial whose needle stands elsewhere coming up than coming down."""
    session = Session(readings=sweep(16), fit=fit_readings(sweep(16)))
    scale = LinearScale(low_value=0, high_value=100, low_deg=-50, high_deg=50)
    panel = with_value(panel, ("instruments", "dial-1", "face", "scale"), scale)
    return with_value(panel, ("instruments", "dial-1", "calibration", "sessions"), (session,))


def test_one_map_and_the_error_demanded_hold_for_the_files(
    make_window: Any, calibrated: Panel, qtbot: Any, tmp_path: Path
) -> None:
    window = make_window(calibrated)
    window.desk.open_stage(Stage.TABLE)
    stage = window.stages.currentWidget()
    stage._one.setChecked(True)
    stage._most.setValue(4.0)
    window.desk.open_stage(Stage.OUTPUT)
    files = window.stages.currentWidget().files
    assert "4 µs" in files._demanded.text()
    assert "one map" in files._demanded.text()
    order = files._order()
    assert order.wanted == Wanted(max_error=4.0, one_map=True)
    made = Order(tables=True, plates=(), wanted=order.wanted, folder=tmp_path)
    carried_out(calibrated, calibrated.instruments, made)
    (path,) = tmp_path.glob("*.json")
    columns = json.loads(path.read_text(encoding="utf-8"))
    assert "command" in str(columns)
    assert "command_up" not in str(columns)


def test_one_map_is_what_the_board_gets(calibrated: Panel, monkeypatch: Any) -> None:
    two = board_table(calibrated.instruments[0]).stored
    one = board_table(calibrated.instruments[0], one_map=True).stored
    assert two.rising != two.falling
    assert one.falling == ()  # the first branch serves both ways
    stored = []
    monkeypatch.setattr(
        Board, "upload", lambda self, channel, table, progress=None: stored.append(table) or 0
    )
    for one_map in (False, True):
        job = UploadJob(max_error=1.0, one_map=one_map)
        uploaded(calibrated, calibrated.instruments[0], "virtual:?seed=1", job)
    assert stored[0].rising != stored[0].falling
    assert stored[1] == board_table(calibrated.instruments[0], max_error=1.0, one_map=True).stored


def test_an_upload_tells_how_far_it_is_and_can_be_called_off(calibrated: Panel) -> None:
    told: list[tuple[int, int]] = []
    instrument, job = calibrated.instruments[0], UploadJob(max_error=1.0)
    uploaded(
        calibrated, instrument, "virtual:?seed=1", job, progress=lambda done, of, _: told.append((done, of))
    )
    stored = [done for done, of in told if of]
    assert len(stored) > 1
    assert stored == sorted(stored)
    with pytest.raises(Cancelled, match="keeps the table it had"):
        uploaded(calibrated, instrument, "virtual:?seed=1", job, called_off=lambda: True)


def test_drawing_tells_its_steps_and_can_be_called_off(panel: Panel, tmp_path: Path) -> None:
    told: list[str] = []
    order = Order(plates=("svg",), sheets=True, paper=(100.0, 100.0), folder=tmp_path)
    with pytest.raises(Cancelled):
        pictured(
            panel,
            panel.instruments,
            order,
            progress=lambda done, of, what: told.append(f"{done}/{of} {what}"),
            called_off=lambda: bool(told),
        )
    assert told == ["0/4 plates of dial-1"]


def test_the_stage_says_the_cycles_with_where_they_come_from_and_nothing_twice(calibrated: Panel) -> None:
    words = table_view(calibrated, calibrated.instruments[0], Wanted()).figures
    assert "cycles a value" in words
    assert "simulated ATmega328P at 16 MHz" in words
    assert words.count("bytes of") == 1
    assert words.lower().count("knots") <= 2  # the kept form, and the one that was not


def test_pages_of_one_name_are_told_apart_in_the_preview(qapp: Any, panel: Panel, tmp_path: Path) -> None:
    order = Order(plates=(), paper=(100.0, 100.0), folder=tmp_path)
    pages = pictured(panel, panel.instruments, order).drawings
    preview = OutputPreview([pages[0], pages[0]])
    assert [preview.names.item(row).text() for row in range(2)] == [
        "paper-a4, page 1",
        "paper-a4, page 2",
    ]
    preview.close()


def test_the_table_of_an_empty_panel_does_not_keep_on_working(make_window: Any) -> None:
    window = make_window(Panel(title="Desk"))
    window.desk.open_stage(Stage.TABLE)
    assert "Without an instrument" in window.stages.currentWidget()._figures.text()
