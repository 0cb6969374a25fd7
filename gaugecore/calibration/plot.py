"""The picture of a fit: residuals of both directions with the band, reversal along the arc, suspect rows.

Direction is told twice, by colour and by the way a marker points; a row that is not believed is hollow and
carries its number.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from gaugecore.calibration.observations import Bools, Floats, Observations, observe
from gaugecore.calibration.readings import Direction, Reading
from gaugecore.calibration.result import BAND, Fit
from gaugecore.calibration.row_order import read_order
from gaugecore.units import MM_PER_INCH

#: Blue and vermilion of a palette made for all kinds of colour vision (Okabe and Ito 2008, from memory).
UP_COLOUR, DOWN_COLOUR = "#0072b2", "#d55e00"
_INK, _FAINT, _BAND = "#222222", "#8a8a8a", "#dfe3e8"
_SIDES = (
    (-1.0, UP_COLOUR, "^", "arrived from below"),
    (1.0, DOWN_COLOUR, "v", "arrived from above"),
    (0.0, _FAINT, "o", "direction unknown"),
)
_WIDTH_IN, _HEIGHT_IN, _DOTS_PER_IN = 7.2, 5.2, 150
#: Sides of the axis keep this much room beyond the band for what lies outside it.
_ROOM = 1.35
#: More row numbers than this would lie on top of each other.
_MOST_LABELS = 10
_STYLE: dict[Any, Any] = {
    "svg.hashsalt": "needlewright", "font.size": 9.0, "axes.edgecolor": _FAINT, "axes.linewidth": 0.7,
    "xtick.color": _FAINT, "ytick.color": _FAINT, "xtick.labelcolor": _INK, "ytick.labelcolor": _INK,
    "axes.labelcolor": _INK, "text.color": _INK, "axes.spines.top": False, "axes.spines.right": False,
}  # fmt: skip


def plot_fit(
    fit: Fit,
    readings: Sequence[Reading],
    *,
    file_format: Literal["png", "pdf", "svg"],
    size_mm: tuple[float, float] | None = None,
) -> bytes:
    """Return the picture of a fit as a file.

    Parameters
    ----------
    fit : Fit
        The fit.
    readings : sequence of Reading
        What it was made of, all rows.
    file_format : {"png", "pdf", "svg"}
        Kind of file; nothing in it depends on the day.
    size_mm : tuple of float or None
        Width and height it will be shown at, so that its type keeps its size; None: those of a screen.
    """
    from matplotlib import rc_context
    from matplotlib.figure import Figure
    from matplotlib.layout_engine import ConstrainedLayoutEngine

    shown_in = (_WIDTH_IN, _HEIGHT_IN)
    if size_mm is not None:
        shown_in = size_mm[0] / MM_PER_INCH, size_mm[1] / MM_PER_INCH
    with rc_context(_STYLE):
        layout = ConstrainedLayoutEngine(h_pad=0.08, hspace=0.04)
        figure = Figure(figsize=shown_in, layout=layout)
        above, below = figure.subplots(2, 1, sharex=True, height_ratios=(3, 1))
        _residuals(above, fit, read_order(observe(readings)).seen)
        _reversal(below, fit)
        figure.align_ylabels()
        out = io.BytesIO()
        dateless = {"png": {}, "pdf": {"CreationDate": None}, "svg": {"Date": None}}[file_format]
        figure.savefig(out, format=file_format, dpi=_DOTS_PER_IN, metadata=dateless)
    return out.getvalue()


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """The rows as they are drawn: where the fit puts them, how far they are off, how high the axis is."""

    at_deg: Floats
    residual_deg: Floats
    seen: Observations
    reach_deg: float
    labelled: bool


def _residuals(axes: Any, fit: Fit, seen: Observations) -> None:
    angle = np.asarray(fit.knots.angle_deg)
    band = BAND * np.asarray(fit.knots.standard_uncertainty_deg)
    axes.fill_between(angle, -band, band, color=_BAND, linewidth=0, label="needle, 95 %")
    axes.axhline(0.0, color=_FAINT, linewidth=0.8)
    at, residual = _against(fit, seen)
    suspect = np.isin(seen.row, [s.row for s in fit.suspect_rows])
    # the figure the fit gives, so that the picture and every list of these rows say the same
    off_deg = {s.row: s.residual_deg for s in fit.suspect_rows}
    residual[suspect] = [off_deg[int(row)] for row in seen.row[suspect]]
    # beyond the ends the fit says nothing, so there is nothing to be off from
    counted = ~suspect & (at > angle[0]) & (at < angle[-1])
    largest = float(np.abs(residual[counted]).max()) if counted.any() else 0.0
    reach = _ROOM * max(float(band.max()), largest)
    rows = _Rows(at, residual, seen, reach, labelled=int(suspect.sum()) <= _MOST_LABELS)
    crowd = float(np.clip(60.0 / max(1, seen.size), 0.2, 1.0))
    for side, colour, marker, label in _SIDES:
        shown = (seen.side == side) & counted
        if shown.any():
            axes.plot(
                at[shown], residual[shown], marker, color=colour, label=label, markersize=3 + 3 * crowd,
                markeredgewidth=0, alpha=0.45 + 0.5 * crowd, clip_on=False,
            )  # fmt: skip
        _suspects(axes, rows, suspect & (seen.side == side), colour, marker)
    if suspect.any():
        axes.plot([], [], "o", color=_INK, markerfacecolor="none", markersize=5, label="row not believed")
    axes.set_ylim(-reach, reach)
    axes.set_ylabel("reading less fit, °")
    axes.legend(
        loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=4, frameon=False, borderaxespad=0.2,
        handletextpad=0.4, columnspacing=1.4,
    )  # fmt: skip


def _against(fit: Fit, seen: Observations) -> tuple[Floats, Floats]:
    """Return where the fit puts every row, and reading less that."""
    at = fit.angles(seen.command, Direction.UNKNOWN)
    for side, direction in ((-1.0, Direction.UP), (1.0, Direction.DOWN)):
        rows = seen.side == side
        at[rows] = fit.angles(seen.command[rows], direction)
    return at, seen.angle_deg - at


def _suspects(axes: Any, rows: _Rows, which: Bools, colour: str, marker: str) -> None:
    """Draw hollow markers with row numbers; what lies far out sits at the edge with its size."""
    middle_deg = float(rows.at_deg.min() + rows.at_deg.max()) / 2.0
    for i in np.flatnonzero(which):
        at, residual = rows.at_deg[i], rows.residual_deg[i]
        inside = abs(residual) < rows.reach_deg
        height = float(residual if inside else np.copysign(rows.reach_deg * 0.97, residual))
        axes.plot(
            at, height, marker, color=colour, markerfacecolor="white", markersize=6.5, clip_on=False, zorder=4
        )
        if rows.labelled:
            right = at > middle_deg
            far = "" if inside else f": {residual:+.1f}°".replace("-", "−")
            axes.annotate(
                f"row {rows.seen.row[i]}{far}", (at, height), xytext=(-7 if right else 7, 0),
                textcoords="offset points", fontsize=8, ha="right" if right else "left", va="center",
            )  # fmt: skip


def _reversal(axes: Any, fit: Fit) -> None:
    angle = np.asarray(fit.knots.angle_deg)
    axes.set_xlabel("dial angle, °")
    axes.set_ylabel("reversal, °")
    if fit.reversal_deg.value is None:
        _instead(axes, "not known: read from one side only")
        return
    # where one command leaves the needle from above, less from below; near the ends one of them is not known
    command = fit.commands(angle, Direction.UNKNOWN)
    gap = fit.angles(command, Direction.DOWN) - fit.angles(command, Direction.UP)
    low, high = fit.angle_range_deg
    known = (angle > low + fit.reversal_deg.value) & (angle < high - fit.reversal_deg.value)
    if not known.any():
        _instead(axes, f"{fit.reversal_deg.value:.2f}°: the arc is too short to show it along the way")
        return
    u = BAND * (fit.reversal_deg.standard_uncertainty or 0.0)
    axes.fill_between(angle[known], (gap - u)[known], (gap + u)[known], color=_BAND, linewidth=0)
    axes.plot(angle[known], gap[known], color=_INK, linewidth=1.4)
    axes.set_ylim(min(0.0, float((gap - u)[known].min())), 1.15 * float((gap + u)[known].max()))


def _instead(axes: Any, words: str) -> None:
    axes.set_yticks([])
    axes.text(0.5, 0.5, words, transform=axes.transAxes, ha="center", va="center")
