"""With keys alone: Tab goes as the eye does, and stops wherever something can be done."""

from __future__ import annotations

import itertools
from typing import Any

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QCheckBox, QWidget

from gaugecore.panel.document import Panel
from gaugecore.panel.edit import value_at
from needlewright.ui.inspector import Inspector


@pytest.fixture
def window(make_window: Any, panel: Panel) -> Any:
    return make_window(panel)


def _walk(inside: QWidget, first: QWidget) -> list[QWidget]:
    """Press Tab, beginning at a widget, as long as it stays inside; return where it stopped."""
    first.setFocus()
    found: list[QWidget] = []
    while (now := QApplication.focusWidget()) is not None and inside.isAncestorOf(now) and now not in found:
        found.append(now)
        now.focusNextPrevChild(True)
    return found


def _place(widget: QWidget, sheet: QWidget) -> QPoint:
    return widget.mapTo(sheet, widget.rect().center())


def test_tab_goes_down_the_form_also_after_parts_were_added(window: Any, qtbot: Any) -> None:
    page = window.stages.currentWidget()
    sheet = page.findChildren(Inspector)[0].widget()
    face = ("instruments", window.desk.instrument.id, "face")
    page.reveal_place((*face, "legends", 0, "text"))
    legends = value_at(window.document.panel, (*face, "legends"))
    window.document.edit((*face, "legends"), (*legends, legends[0]), "add legend")
    page.reveal_place((*face, "numerals"))
    qtbot.wait(50)
    takers = [w for w in sheet.findChildren(QWidget) if w.focusPolicy() & Qt.FocusPolicy.TabFocus]
    top = min((w for w in takers if w.isVisible()), key=lambda widget: _place(widget, sheet).y())
    stops = _walk(sheet, top)
    assert len(stops) > 40
    heights = [_place(stop, sheet).y() for stop in stops]
    assert all(below > above - 14 for above, below in itertools.pairwise(heights))  # never up a line
    # a box that sets an optional value keeps the keys, though the field is hidden until then
    assert "Ground colour, choose" in {stop.accessibleName() for stop in stops}
    assert {"Colour", "Arc radius"} <= {stop.text() for stop in stops if isinstance(stop, QCheckBox)}
