"""The picture of a fit: residuals of both directions with the band, reversal along the arc, suspect rows."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any, Literal

import numpy as np

from gaugecore.calibration.observations import observe
from gaugecore.calibration.readings import Direction, Reading
from gaugecore.calibration.result import Fit
from gaugecore.calibration.row_order import read_order

#: Blue and vermilion of a palette chosen for all kinds of colour vision (Okabe and Ito 2008, from memory).
UP_COLOUR, DOWN_COLOUR, SUSPECT_COLOUR = "#0072b2", "#d55e00", "#000000"


def plot_fit(fit: Fit, readings: Sequence[Reading], *, file_format: Literal["png", "pdf", "svg"]) -> bytes:
    """Return the picture of a fit as a file.

    Parameters
    ----------
    fit : Fit
        The fit.
    readings : sequence of Reading
        What it was made of, all rows.
    file_format : {"png", "pdf", "svg"}
        Kind of file; nothing in it depends on the day.
    """
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    with rc_context({"svg.hashsalt": "needlewright", "font.size": 9.0}):
        figure = Figure(figsize=(7.2, 5.4), layout="constrained")
        above, below = figure.subplots(2, 1, sharex=True, height_ratios=(3, 1))
        _residuals(above, fit, readings)
        _reversal(below, fit)
        out = io.BytesIO()
        dateless = {"png": {}, "pdf": {"CreationDate": None}, "svg": {"Date": None}}[file_format]
        figure.savefig(out, format=file_format, dpi=150, metadata=dateless)
    return out.getvalue()


def _residuals(axes: Any, fit: Fit, readings: Sequence[Reading]) -> None:
    angle = np.asarray(fit.knots.angle_deg)
    band = 1.96 * np.asarray(fit.knots.standard_uncertainty_deg)
    axes.fill_between(angle, -band, band, color="#cccccc", label="needle, 95 % band", linewidth=0)
    axes.axhline(0.0, color="#555555", linewidth=0.8)
    seen = read_order(observe(readings)).seen
    suspect = np.isin(seen.row, [s.row for s in fit.suspect_rows])
    for side, direction, colour, marker, label in (
        (-1, Direction.UP, UP_COLOUR, "^", "from below (up)"),
        (1, Direction.DOWN, DOWN_COLOUR, "v", "from above (down)"),
    ):
        rows = (seen.side == side) & ~suspect
        at = fit.angles(seen.command[rows], direction)
        axes.plot(at, seen.angle_deg[rows] - at, marker, color=colour, label=label, markersize=5)
    axes.set_ylabel("reading − fit, °")
    axes.legend(loc="best", frameon=False, ncols=3)


def _reversal(axes: Any, fit: Fit) -> None:
    angle = np.asarray(fit.knots.angle_deg)
    middle = fit.commands(angle, Direction.UNKNOWN)
    gap = fit.angles(middle, Direction.DOWN) - fit.angles(middle, Direction.UP)
    axes.plot(angle, gap, color="#333333")
    axes.set_ylabel("reversal, °")
    axes.set_xlabel("dial angle, °")
