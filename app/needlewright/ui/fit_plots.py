"""Live pictures of a calibration: the map, the residuals of both directions with their band, the reversal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyqtgraph
from PySide6.QtCore import QEvent
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QTabWidget, QWidget

from gaugecore.calibration.plot import DOWN_COLOUR, UP_COLOUR
from gaugecore.calibration.readings import Direction, Reading
from gaugecore.calibration.result import Fit
from needlewright.ui.plots import new_plot, wear
from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate

#: 95 % of a normal distribution.
_COVERAGE = 1.96
#: The paper's two colours, and their lighter forms for a dark ground.
_COLOURS = {
    Direction.UP: (UP_COLOUR, "#6cb6e8"),
    Direction.DOWN: (DOWN_COLOUR, "#f0955a"),
    Direction.UNKNOWN: ("#6b6455", "#a9a292"),
}
_SIGNS = {Direction.UP: "t1", Direction.DOWN: "t", Direction.UNKNOWN: "o"}
_WORDS = {
    Direction.UP: QT_TRANSLATE_NOOP("fit_plots", "from below"),
    Direction.DOWN: QT_TRANSLATE_NOOP("fit_plots", "from above"),
    Direction.UNKNOWN: QT_TRANSLATE_NOOP("fit_plots", "side unknown"),
}


class FitPlots(QTabWidget):
    """Three plots of one set of readings and its fit."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: tuple[tuple[Reading, ...], Fit | None, str] = ((), None, "µs")
        self._map = new_plot(self.tr("Map"), left=self.tr("Dial angle, °"))
        self._residuals = new_plot(self.tr("Residuals"), left=self.tr("Reading less fit, °"))
        self._reversal = new_plot(self.tr("Reversal"), left=self.tr("Reversal, °"))
        for plot in (self._residuals, self._map, self._reversal):
            plot.setMinimumHeight(150)
        # closer than this there is nothing to see but the last digits of the fit
        for plot, least_deg in ((self._residuals, 0.2), (self._reversal, 0.5)):
            plot.getViewBox().setLimits(minYRange=least_deg)
        for plot in (self._residuals, self._map, self._reversal):
            self.addTab(plot, plot.accessibleName())
        self._take_colours()

    def show_fit(self, readings: Sequence[Reading], fit: Fit | None, unit: str) -> None:
        """Show readings and the fit made of them, None before there is one."""
        self._shown = (tuple(readings), fit, unit)
        self._redraw()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the palette between light and dark."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_map"):
            self._take_colours()

    def _redraw(self) -> None:
        readings, fit, unit = self._shown
        for plot in (self._map, self._residuals, self._reversal):
            plot.clear()
        self._map.setLabel("bottom", self.tr("Command, {0}").format(unit))
        for plot in (self._residuals, self._reversal):
            plot.setLabel("bottom", self.tr("Dial angle, °"))
        for direction in Direction:
            rows = [reading for reading in readings if reading.direction is direction]
            self._draw_readings(direction, rows, fit)
        if fit is not None:
            self._draw_fit(fit)

    def _draw_readings(self, direction: Direction, rows: Sequence[Reading], fit: Fit | None) -> None:
        if not rows:
            return
        command = np.array([row.command for row in rows])
        angle = np.array([row.angle_deg for row in rows])
        look: dict[str, Any] = {
            "pen": None,
            "symbol": _SIGNS[direction],
            "symbolSize": 8,
            "symbolBrush": self._colour(direction),
            "symbolPen": None,
            "name": translate("fit_plots", _WORDS[direction]),
        }
        self._map.plot(command, angle, **look)
        if fit is not None:
            at = fit.angles(command, direction)
            # beyond the ends the fit says nothing, so there is nothing to be off from
            told = (at > fit.angle_range_deg[0]) & (at < fit.angle_range_deg[1])
            self._residuals.plot(at[told], (angle - at)[told], **look)

    def _draw_fit(self, fit: Fit) -> None:
        knots = fit.knots
        angle = np.asarray(knots.angle_deg)
        band = _COVERAGE * np.asarray(knots.standard_uncertainty_deg)
        ink = self.palette().color(QPalette.ColorRole.PlaceholderText)
        shade = QColor(ink)
        shade.setAlpha(50)
        edges = [pyqtgraph.PlotCurveItem(angle, sign * band, pen=shade) for sign in (-1.0, 1.0)]
        self._residuals.addItem(pyqtgraph.FillBetweenItem(*edges, brush=shade))
        self._residuals.plot(angle, np.zeros_like(angle), pen=ink)
        for direction, branch in ((Direction.UP, knots.command_up), (Direction.DOWN, knots.command_down)):
            self._map.plot(np.asarray(branch), angle, pen=pyqtgraph.mkPen(self._colour(direction), width=1.5))
        up, down = (fit.angles(_middle(fit), direction) for direction in (Direction.UP, Direction.DOWN))
        self._reversal.plot((up + down) / 2, down - up, pen=pyqtgraph.mkPen(ink, width=1.5))

    def _colour(self, direction: Direction) -> str:
        dark = self.palette().color(QPalette.ColorRole.Base).lightness() < 128
        return _COLOURS[direction][int(dark)]

    def _take_colours(self) -> None:
        for plot in (self._map, self._residuals, self._reversal):
            wear(plot, self.palette())
        self._redraw()


def _middle(fit: Fit) -> Any:
    """Return commands that both directions reach."""
    low = max(min(fit.knots.command_up), min(fit.knots.command_down))
    high = min(max(fit.knots.command_up), max(fit.knots.command_down))
    return np.linspace(low, high, 200)
