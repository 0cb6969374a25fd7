"""Output can be looked at first and called off; every stage has its page of help."""

from __future__ import annotations

import io
import subprocess
import threading
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QPoint
from PySide6.QtGui import QTextCursor

from gaugecore.calibration.fit import fit_readings
from gaugecore.errors import InputError
from gaugecore.face.scale_kinds import LinearScale
from gaugecore.panel.document import Panel, Session
from gaugecore.panel.edit import with_value
from needlewright.ui.desk import Stage
from needlewright.ui.help_pages import SECTION_OF, HelpPages, docs_folder
from needlewright.ui.output_preview import OutputPreview
from needlewright.ui.output_work import Cancelled, Order, carried_out, pictured
from needlewright.ui.upload_work import uploaded
from needlewright.upload_job import UploadJob
from tests.board.boards import serving
from tests.calibration.sweeps import sweep
from tests.crowded_panel import crowded_panel


def test_writing_tells_its_steps_and_nothing_is_written_when_called_off(panel: Panel, tmp_path: Path) -> None:
    told: list[str] = []
    stop = threading.Event()

    def progress(done: int, of: int, what: str) -> None:
        told.append(f"{done}/{of} {what}")
        stop.set()

    order = Order(plates=("svg",), record=True, folder=tmp_path / "out")
    with pytest.raises(Cancelled, match="nothing was written"):
        carried_out(panel, panel.instruments, order, progress=progress, called_off=stop.is_set)
    assert told == ["0/2 plates of dial-1"]
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_what_is_ordered_can_be_looked_at(make_window: Any, panel: Panel, qtbot: Any, tmp_path: Path) -> None:
    order = Order(plates=("svg",), sheets=True, paper=(100.0, 100.0), folder=tmp_path)
    names = [drawing.name for drawing in pictured(panel, panel.instruments, order).drawings]
    assert {"dial-1-face", "dial-1-pointer"} <= set(names)
    assert len(names) > 4
    window = make_window(panel)
    window.desk.open_stage(Stage.OUTPUT)
    page = window.stages.currentWidget().files
    page._preview.click()
    qtbot.waitUntil(lambda: bool(page.findChildren(OutputPreview)), timeout=20_000)
    preview = page.findChildren(OutputPreview)[0]
    before = preview.page.grab().toImage()
    preview.names.setCurrentRow(1)
    assert preview.page.grab().toImage() != before
    preview.close()


@pytest.mark.slow
def test_the_record_can_be_looked_at_page_by_page(panel: Panel, qapp: Any, tmp_path: Path) -> None:
    order = Order(plates=(), record=True, folder=tmp_path)
    looked = pictured(panel, panel.instruments, order)
    pages = len(PdfReader(io.BytesIO(looked.record)).pages)
    assert pages > 0
    preview = OutputPreview(looked.drawings, looked.record)
    preview.show()
    assert [preview.names.item(row).text() for row in range(preview.names.count())] == [
        f"record, page {number}" for number in range(1, pages + 1)
    ]
    preview.names.setCurrentRow(pages - 1)
    assert preview._size.text() == f"Record, page {pages}: 210.0 × 297.0 mm"
    shown = preview.page.grab().toImage()
    # the sheet is white beyond the words, and there are words on it
    colours = {
        shown.pixelColor(x, y).name()
        for x in range(20, shown.width() - 20, 3)
        for y in range(20, shown.height() - 20, 3)
    }
    assert "#ffffff" in colours
    assert len(colours) > 1
    preview.close()


def _calibrated(*ids: str) -> Panel:
    """Return a panel of calibrated dials."""
    panel = crowded_panel("Desk")
    dials = tuple(panel.instruments[0].model_copy(update={"id": name}) for name in ids)
    panel = panel.model_copy(update={"instruments": dials})
    for name in ids:
        session = Session(readings=sweep(16), fit=fit_readings(sweep(16)))
        panel = with_value(panel, ("instruments", name, "calibration", "sessions"), (session,))
        scale = LinearScale(low_value=0, high_value=100, low_deg=-50, high_deg=50)
        panel = with_value(panel, ("instruments", name, "face", "scale"), scale)
    return panel


@pytest.mark.slow
def test_tables_are_written_with_the_program_that_joins_them_and_it_compiles(tmp_path: Path) -> None:
    panel = _calibrated("dial-1", "dial-2")
    order = Order(plates=(), tables=True, folder=tmp_path)
    done = carried_out(panel, panel.instruments, order)
    assert done.notes == ()
    settings = (tmp_path / "needles.h").read_text("ascii")
    assert '#include "nw_dial_1.h"' in settings
    assert '#include "nw_dial_2.h"' in settings
    sources = [path.name for path in tmp_path.glob("*.c")]
    words = ["avr-gcc", "-mmcu=atmega328p", "-Os", "-std=c99", "-Wall", "-Wextra", "-Werror", *sources]
    made = subprocess.run(
        [*words, "-o", "needle.elf"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert made.returncode == 0, made.stderr


def test_settings_of_the_user_stay_and_more_needles_than_the_program_moves_are_said(tmp_path: Path) -> None:
    (tmp_path / "needles.h").write_text("mine", "utf-8")
    panel = _calibrated(*(f"dial-{n}" for n in range(1, 6)))
    order = Order(plates=(), tables=True, folder=tmp_path, replace=True)
    done = carried_out(panel, panel.instruments[:1], order)
    assert "nw_needle.c" in {path.name for path in done.paths}
    assert (tmp_path / "needles.h").read_text("utf-8") == "mine"
    done = carried_out(panel, panel.instruments, order)
    assert "found '5 servos and 0 steppers'" in done.notes[0]
    assert "nw_dial_5.h" in {path.name for path in done.paths}


def test_a_table_for_a_channel_the_board_does_not_have_is_refused_in_a_sentence() -> None:
    panel = _calibrated("dial-1", "dial-2")
    with serving() as server, pytest.raises(InputError, match="the board has no such channel, found 1"):
        uploaded(panel, panel.instruments[1], f"socket://127.0.0.1:{server.port}", UploadJob(max_error=1.0))


def test_a_refusal_gives_the_buttons_back(make_window: Any, panel: Panel, qtbot: Any, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    window = make_window(panel)
    window.desk.open_stage(Stage.OUTPUT)
    page = window.stages.currentWidget().files
    page._folder.setText(str(tmp_path / "file"))
    page._write.click()
    assert page._row.cancel.isVisibleTo(page)
    qtbot.waitUntil(lambda: window.strip.text != "Writing…", timeout=20_000)
    assert page._write.isVisibleTo(page)


@pytest.mark.parametrize("stage", Stage)
def test_every_stage_has_its_section_in_the_words_of_the_window(
    make_window: Any, panel: Panel, stage: Stage, qtbot: Any
) -> None:
    window = make_window(panel)
    window.desk.open_stage(stage)
    window.commands.help()
    pages = window.findChild(HelpPages)
    assert pages.list.currentItem().text() == "Window"
    qtbot.waitUntil(lambda: pages.text.verticalScrollBar().value() > 0, timeout=30_000)
    headings = {SECTION_OF[stage], "For contributors"}
    seen = pages.text.cursorForPosition(QPoint(30, 4))
    while seen.block().text() not in headings and seen.movePosition(QTextCursor.MoveOperation.NextBlock):
        pass
    assert seen.block().text() == SECTION_OF[stage]
    section = (docs_folder() / "window.md").read_text("utf-8").split(f"## {SECTION_OF[stage]}\n")[1]
    section = section.split("\n## ")[0]
    assert len(section) > 200
    assert "needlewright " not in section
    assert "--" not in section.replace("|---", "")
    pages.close()
