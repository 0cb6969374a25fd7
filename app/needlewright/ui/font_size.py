"""Widths that go with the letters: a user who has larger ones set needs more room for the same words."""

from __future__ import annotations

from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import QApplication

#: Height of a line of the letters with which the widths of the window were chosen.
_LINE_PX = 14.0


def with_letters(width_px: float) -> int:
    """Return a width chosen for the usual letters for those that are set, never a smaller one."""
    line_px = QFontMetricsF(QApplication.font()).height()
    return round(width_px * max(1.0, line_px / _LINE_PX))
