"""The calibration record: how well one dial points, from which readings, and what the firmware was given."""

from __future__ import annotations

from typing import Any

from gaugecore.calibration.plot import plot_fit
from gaugecore.calibration.result import Fit
from gaugecore.panel.document import Instrument, Panel, Session
from gaugecore.panel.table_of import table_of
from gaugecore.record.paper import FRAME_MM, Insets, inset, rows, styles, text
from gaugecore.table.integer import Table

#: The plot is drawn at 4:3; this is as wide as the page lets it be.
PLOT_MM = (FRAME_MM[0], FRAME_MM[0] * 0.75)
#: Suspect rows shown; a reading session with more has another problem.
MOST_SUSPECTS = 12


def calibration_record(panel: Panel, instrument: Instrument, insets: Insets) -> list[Any]:
    """Return the calibration record of an instrument as a story of about one page."""
    style = styles()
    session = next((s for s in reversed(instrument.calibration.sessions) if s.fit is not None), None)
    head = [text(f"Calibration record: {instrument.title}", style["title"]), text(panel.title, style["body"])]
    if session is None or session.fit is None:
        return [*head, text("Not calibrated yet: there is no fit, so there is no table.", style["body"])]
    fit = session.fit
    plot = plot_fit(fit, session.readings, file_format="pdf")
    return [
        *head,
        text("Figures", style["heading"]),
        rows(_figures(session, fit), widths_mm=(56, FRAME_MM[0] - 56)),
        text("Residuals from both sides, with the 95 % band", style["heading"]),
        inset(plot, width_mm=PLOT_MM[0], height_mm=PLOT_MM[1], insets=insets),
        *_suspects(fit),
        text("Table in the firmware", style["heading"]),
        rows(_table_rows(table_of(panel, instrument)), widths_mm=(56, FRAME_MM[0] - 56)),
        *(text(warning, style["small"]) for warning in fit.warnings),
        text("Taken by: ______________________    Date: ______________    Instrument no.: ______________", style["body"]),
    ]


def _figures(session: Session, fit: Fit) -> list[tuple[str, str]]:
    low, high = fit.angle_range_deg
    gap = fit.reversal_deg
    worst = max(fit.knots.standard_uncertainty_deg)
    return [
        ("readings", f"{len(session.readings)}, of which {len(fit.suspect_rows)} suspect"),
        ("taken on", session.taken_on or "not noted"),
        ("calibrated arc", f"{low:.1f}° to {high:.1f}°"),
        ("commands", f"{min(fit.command_range):.0f} to {max(fit.command_range):.0f} {_unit(fit)}"),
        ("needle within (95 %)", f"±{2 * worst:.2f}° at the worst angle"),
        (
            "reversal",
            "cannot be told from these readings"
            if gap.value is None
            else f"{gap.value:.2f}°" + (f" ± {2 * gap.standard_uncertainty:.2f}°" if gap.standard_uncertainty else ""),
        ),
        (
            "repeatability",
            "cannot be told from one cycle"
            if fit.repeatability_deg is None
            else f"{fit.repeatability_deg:.2f}°",
        ),
    ]


def _unit(fit: Fit) -> str:
    return "µs" if fit.kind == "servo" else "steps"


def _suspects(fit: Fit) -> list[Any]:
    if not fit.suspect_rows:
        return []
    style = styles()
    shown = [(str(s.row), f"{s.residual_deg:+.1f}°", s.reason) for s in fit.suspect_rows[:MOST_SUSPECTS]]
    more = len(fit.suspect_rows) - len(shown)
    return [
        text("Rows left out", style["heading"]),
        rows([("row", "off by", "reason"), *shown], widths_mm=(16, 22, FRAME_MM[0] - 38), head=True),
        *([text(f"and {more} more", style["small"])] if more else []),
    ]


def _table_rows(table: Table) -> list[tuple[str, str]]:
    return [
        ("raw values", f"{table.places.raw_low} to {table.places.raw_high}"),
        ("worst error", f"{table.worst_error_in_commands:.2f} over every raw value, rounding included"),
        ("choice", table.choice),
    ]
