"""Output can be looked at first and called off; every stage has its page of help."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import pytest

from gaugecore.panel.document import Panel
from needlewright.ui.desk import Stage
from needlewright.ui.help_pages import PAGE_OF, HelpPages, docs_folder
from needlewright.ui.output_preview import OutputPreview
from needlewright.ui.output_work import Cancelled, Order, carried_out, pictured


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
    names = [drawing.name for drawing in pictured(panel, panel.instruments, order)]
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


def test_a_refusal_gives_the_buttons_back(make_window: Any, panel: Panel, qtbot: Any, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    window = make_window(panel)
    window.desk.open_stage(Stage.OUTPUT)
    page = window.stages.currentWidget().files
    page._folder.setText(str(tmp_path / "file"))
    page._write.click()
    assert page._cancel.isVisibleTo(page)
    qtbot.waitUntil(lambda: window.strip.text != "Writing…", timeout=20_000)
    assert page._write.isVisibleTo(page)


@pytest.mark.parametrize("stage", Stage)
def test_every_stage_has_its_page(make_window: Any, panel: Panel, stage: Stage) -> None:
    assert (docs_folder() / f"{PAGE_OF[stage]}.md").is_file()
    window = make_window(panel)
    window.desk.open_stage(stage)
    window.commands.help()
    pages = window.findChild(HelpPages)
    assert len(pages.text.toPlainText()) > 200
    pages.close()
