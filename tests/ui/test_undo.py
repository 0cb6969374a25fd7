"""Keys that take a step back: those of the field while something is typed, else those of the document."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtWidgets import QApplication

from gaugecore.panel.document import Panel
from needlewright.ui.editors import NumberEditor, TextEditor
from needlewright.ui.form import PartForm
from needlewright.ui.stage_face import FaceStage

_CTRL, _SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


@pytest.fixture(autouse=True)
def _points() -> None:
    QLocale.setDefault(QLocale(QLocale.Language.C))


def _editor(window: Any, qtbot: Any, name: str, kind: type) -> Any:
    """Return the editor of a field of the face stage, with the focus in it."""
    page = window.stages.currentWidget()
    assert isinstance(page, FaceStage)
    editor = next(
        widget
        for form in page.findChildren(PartForm)
        for widget in form.findChildren(kind)
        if widget.property("field") == name
    )
    window.activateWindow()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is window, timeout=30_000)
    editor.setFocus(Qt.FocusReason.OtherFocusReason)
    return editor


def _type(qtbot: Any, editor: Any, text: str) -> None:
    editor.selectAll()
    qtbot.keyClicks(editor, text)
    qtbot.keyClick(editor, Qt.Key.Key_Return)


def test_undo_in_a_number_field_after_enter_takes_back_the_step_and_redo_brings_it_again(
    make_window: Any, panel: Panel, qtbot: Any
) -> None:
    window = make_window(panel)
    editor = _editor(window, qtbot, "diameter_mm", NumberEditor)
    before = window.document.panel
    _type(qtbot, editor, "62")
    assert window.document.panel.instruments[0].face.diameter_mm == 62.0
    qtbot.keyClick(editor, Qt.Key.Key_Z, _CTRL)
    assert window.document.panel == before
    assert editor.value() == before.instruments[0].face.diameter_mm
    for key, modifiers in ((Qt.Key.Key_Z, _CTRL | _SHIFT), (Qt.Key.Key_Y, _CTRL)):
        qtbot.keyClick(editor, key, modifiers)
        assert window.document.panel.instruments[0].face.diameter_mm == 62.0
        qtbot.keyClick(editor, Qt.Key.Key_Z, _CTRL)
    assert window.document.panel == before


def test_undo_in_the_title_first_takes_back_typing_and_then_the_step(
    make_window: Any, panel: Panel, qtbot: Any
) -> None:
    window = make_window(panel)
    editor = _editor(window, qtbot, "title", TextEditor)
    before = window.document.panel.instruments[0].title
    _type(qtbot, editor, "Bow thruster")
    qtbot.keyClicks(editor, "X")
    qtbot.keyClick(editor, Qt.Key.Key_Z, _CTRL)
    assert editor.text() == "Bow thruster"
    assert window.document.panel.instruments[0].title == "Bow thruster"
    qtbot.keyClick(editor, Qt.Key.Key_Z, _CTRL)
    assert editor.text() == window.document.panel.instruments[0].title == before
    qtbot.keyClick(editor, Qt.Key.Key_Tab)
    assert window.document.steps.index() == 0
    assert window.document.steps.canRedo()


def test_two_values_entered_one_after_the_other_are_two_steps_and_a_held_arrow_is_one(
    make_window: Any, panel: Panel, qtbot: Any, monkeypatch: Any
) -> None:
    monkeypatch.setattr("needlewright.ui.form.time.monotonic", lambda: 5.0)  # as fast as can be
    window = make_window(panel)
    editor = _editor(window, qtbot, "diameter_mm", NumberEditor)
    _type(qtbot, editor, "62")
    _type(qtbot, editor, "64")
    assert window.document.steps.count() == 2
    for _ in range(5):
        qtbot.keyClick(editor, Qt.Key.Key_Up)
    assert window.document.steps.count() == 3
    _type(qtbot, editor, "61")
    assert window.document.steps.count() == 4


def test_the_word_about_a_field_goes_when_another_thing_without_one_has_the_focus(
    make_window: Any, panel: Panel, qtbot: Any
) -> None:
    window = make_window(panel)
    editor = _editor(window, qtbot, "bezel_mm", NumberEditor)
    page = window.stages.currentWidget()
    about = next(label for label in page.findChildren(type(page._about)) if label.objectName() == "about")
    assert "bezel" in about.text()
    form = next(form for form in page.findChildren(PartForm) if form.isAncestorOf(editor))
    form._title.setFocus(Qt.FocusReason.TabFocusReason)
    assert about.isHidden()
