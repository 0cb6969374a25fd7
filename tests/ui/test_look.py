"""How the window looks and speaks: contrast, names for screen readers, keys, the size of a small screen."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractSpinBox,
    QComboBox,
    QLineEdit,
    QListWidget,
    QPlainTextEdit,
    QSlider,
    QTableWidget,
    QWidget,
)

from gaugecore.panel.document import Panel
from gaugecore.panel.store import load_panel
from needlewright.samples import sample_path
from needlewright.ui.desk import Stage
from needlewright.ui.look import DARK, LIGHT, palette

_ROLE = QPalette.ColorRole


def _luminance(colour: str) -> float:
    def linear(share: float) -> float:
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(part) for part in QColor(colour).getRgbF()[:3])
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: str, other: str) -> float:
    """WCAG 2.1, definition of contrast ratio."""
    high, low = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_text_can_be_read_on_every_ground(colours: dict[QPalette.ColorRole, str]) -> None:
    grounds = (_ROLE.Window, _ROLE.Base, _ROLE.Button)
    for ground in grounds:
        assert _contrast(colours[_ROLE.Text], colours[ground]) >= 7.0
        assert _contrast(colours[_ROLE.PlaceholderText], colours[ground]) >= 4.5
        assert _contrast(colours[_ROLE.Link], colours[ground]) >= 4.5
        assert _contrast(colours[_ROLE.BrightText], colours[ground]) >= 4.5
    assert _contrast(colours[_ROLE.HighlightedText], colours[_ROLE.Highlight]) >= 4.5


def _spoken(widget: QWidget) -> str:
    text = widget.accessibleName() or widget.toolTip()
    return text or (widget.text() if isinstance(widget, QAbstractButton) else "")


_WORKED = (
    QAbstractButton,
    QAbstractSpinBox,
    QComboBox,
    QLineEdit,
    QListWidget,
    QPlainTextEdit,
    QSlider,
    QTableWidget,
)


@pytest.mark.slow
def test_whatever_takes_the_focus_has_a_name(make_window: Any) -> None:
    window = make_window(load_panel(sample_path("ferry-bridge")))
    for stage in Stage:
        window.desk.open_stage(stage)
    nameless = [
        widget
        for widget in window.findChildren(QWidget)
        if isinstance(widget, _WORKED)
        and widget.focusPolicy() != Qt.FocusPolicy.NoFocus
        and not _spoken(widget)
        # the inner line of a spin box or a combo box speaks with its owner's name
        and not isinstance(widget.parentWidget(), QAbstractSpinBox | QComboBox)
        and "pyqtgraph" not in type(widget).__module__
    ]
    assert [(type(widget).__name__, widget.parentWidget()) for widget in nameless] == []


@pytest.mark.slow
def test_every_stage_fits_a_screen_of_1280_by_720(make_window: Any) -> None:
    window = make_window(load_panel(sample_path("ferry-bridge")))
    window.resize(1280, 720)
    for stage in Stage:
        window.desk.open_stage(stage)
        smallest = window.minimumSizeHint()
        assert (smallest.width() <= 1280, smallest.height() <= 720) == (True, True), (stage, smallest)


def test_stages_are_reached_with_alt_and_their_number(make_window: Any, panel: Panel, qtbot: Any) -> None:
    window = make_window(panel)
    window.activateWindow()
    for number, stage in enumerate(Stage, start=1):
        button = window.row._buttons[stage]
        assert button.shortcut().toString() == f"Alt+{number}"
        button.click()
        assert window.desk.stage is stage


def test_the_palette_is_whole(qapp: Any) -> None:
    assert set(LIGHT) == set(DARK)
    assert palette(DARK).color(_ROLE.Window) == QColor(DARK[_ROLE.Window])
