"""What all plots have in common: axes whose numbers have the minus sign of print, a quiet grid, no menu."""

from __future__ import annotations

from typing import Any

import pyqtgraph
from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette

from needlewright.ui.translation import with_minus


class _Axis(pyqtgraph.AxisItem):  # type: ignore[misc]
    def __init__(self, side: str) -> None:
        super().__init__(side)
        # half a degree is 0.5°, not 500 thousandths
        self.enableAutoSIPrefix(False)

    def tickStrings(self, values: Any, scale: float, spacing: float) -> list[str]:
        return [with_minus(text) for text in super().tickStrings(values, scale, spacing)]


def new_plot(spoken: str, *, left: str, bottom: str = "") -> Any:
    """Return an empty plot.

    Parameters
    ----------
    spoken : str
        What it shows, for those who do not see it; the words beside it say what it says.
    left, bottom : str
        Labels of the axes.
    """
    plot = pyqtgraph.PlotWidget(
        enableMenu=False, axisItems={side: _Axis(side) for side in ("left", "bottom")}
    )
    plot.setAccessibleName(spoken)
    plot.hideButtons()
    plot.showGrid(x=True, y=True, alpha=0.15)
    plot.setLabel("left", left)
    plot.setLabel("bottom", bottom)
    for part in (plot, plot.viewport()):
        part.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # there is nothing to do in it with keys
    return plot


def wear(plot: Any, palette: QPalette) -> None:
    """Give a plot the colours of the window."""
    plot.setBackground(palette.color(QPalette.ColorRole.Base))
    ink = palette.color(QPalette.ColorRole.Text)
    for side in ("left", "bottom"):
        plot.getAxis(side).setPen(ink)
        plot.getAxis(side).setTextPen(ink)
