"""The document: edits are steps with names, and every one can be undone."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from gaugecore.errors import DocumentError
from gaugecore.panel.document import Panel
from gaugecore.panel.panel_file import ChangedMeanwhileError
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import load_panel, save_panel
from needlewright.ui.document import PanelDocument

_DIAMETER = ("instruments", "dial-1", "face", "diameter_mm")


def test_an_edit_makes_another_panel_and_undo_brings_the_very_same_one_back(
    qapp: QApplication, panel: Panel
) -> None:
    document = PanelDocument(panel)
    document.edit(_DIAMETER, 70.0, "diameter to 70 mm")
    assert document.panel.instruments[0].face.diameter_mm == 70.0
    assert panel.instruments[0].face.diameter_mm == 60.0
    assert document.steps.undoText() == "diameter to 70 mm"
    document.steps.undo()
    assert document.panel is panel
    assert not document.unsaved


def test_what_an_edit_leaves_alone_is_shared(qapp: QApplication, panel: Panel) -> None:
    document = PanelDocument(panel)
    document.edit(_DIAMETER, 70.0, "n")
    assert document.panel.supply is panel.supply
    assert document.panel.instruments[0].pointer is panel.instruments[0].pointer


def test_a_value_that_is_refused_changes_nothing_and_is_no_step(qapp: QApplication, panel: Panel) -> None:
    document = PanelDocument(panel)
    with pytest.raises(DocumentError, match="must be greater than 0"):
        document.edit(_DIAMETER, -1.0, "n")
    with pytest.raises(DocumentError, match="no such place"):
        document.edit(("instruments", "nobody", "title"), "x", "n")
    assert document.panel is panel
    assert document.steps.count() == 0


def test_steps_of_one_group_are_one_step_and_other_groups_are_their_own(
    qapp: QApplication, panel: Panel
) -> None:
    document = PanelDocument(panel)
    first, second = document.new_group("drag"), document.new_group("drag")
    for value in (61.0, 62.0, 63.0):
        document.edit(_DIAMETER, value, f"to {value}", group=first)
    document.edit(_DIAMETER, 64.0, "to 64", group=second)
    document.edit(_DIAMETER, 65.0, "to 65")
    assert document.steps.count() == 3
    document.steps.undo()
    document.steps.undo()
    assert document.panel.instruments[0].face.diameter_mm == 63.0
    document.steps.undo()
    assert document.panel is panel


def test_a_thousand_edits_are_undone_to_the_start_and_redone_to_the_end(
    qapp: QApplication, panel: Panel
) -> None:
    document = PanelDocument(panel)
    for step in range(1000):
        document.edit(_DIAMETER, 60.0 + step % 7 + 1, f"step {step}")
    last = document.panel
    document.steps.setIndex(0)
    assert document.panel is panel
    document.steps.setIndex(document.steps.count())
    assert document.panel is last


def test_saving_makes_the_document_clean_and_the_file_holds_what_was_edited(
    qapp: QApplication, panel: Panel, tmp_path: Path
) -> None:
    document = PanelDocument(panel)
    document.edit(("instruments", "dial-1", "title"), "µ “<&>”", "n")
    assert document.unsaved
    path = tmp_path / "desk.panel.json"
    document.save(path)
    assert not document.unsaved
    assert load_panel(path) == document.panel
    document.steps.undo()
    assert document.unsaved


def test_a_bad_file_leaves_the_current_panel_in_place(
    qapp: QApplication, panel: Panel, tmp_path: Path
) -> None:
    document = PanelDocument(panel)
    path = tmp_path / "bad.panel.json"
    path.write_text("{", encoding="utf-8")
    with pytest.raises(DocumentError):
        document.load(path)
    assert document.panel is panel


def test_what_another_program_saved_meanwhile_is_not_written_over(qapp: QApplication, tmp_path: Path) -> None:
    path = tmp_path / "desk.panel.json"
    save_panel(starter_panel("Desk"), path)
    document = PanelDocument(starter_panel("New"))
    document.load(path)
    document.edit(("title",), "Mine", "title")
    save_panel(starter_panel("Theirs"), path)
    with pytest.raises(ChangedMeanwhileError, match="another program changed the file"):
        document.save(path)
    assert load_panel(path).title == "Theirs"
    assert document.panel.title == "Mine"
    document.save(tmp_path / "other.panel.json")
    assert load_panel(tmp_path / "other.panel.json").title == "Mine"
    document.save(path, anyway=True)
    assert load_panel(path).title == "Mine"
    document.edit(("title",), "Mine again", "title")
    document.save(path)
    assert load_panel(path).title == "Mine again"
