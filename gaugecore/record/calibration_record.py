"""The calibration record: how well one dial points, from which readings, and what the firmware was given."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from gaugecore.calibration.plot import plot_fit
from gaugecore.calibration.readings import Direction
from gaugecore.calibration.result import Fit
from gaugecore.errors import FitError, TableError
from gaugecore.face.scale import angle_deg, value_range
from gaugecore.panel.document import Instrument, Panel, Session
from gaugecore.panel.raw_values import raw_of_value
from gaugecore.panel.table_of import table_of
from gaugecore.record.paper import FRAME_MM, Insets, inset, rows, styles, text
from gaugecore.table.integer import Table

#: As wide as the text; so high, the record of a usual dial stays on one page.
PLOT_MM = (FRAME_MM[0], 78.0)
#: Suspect rows shown; a reading session with more has another problem.
MOST_SUSPECTS = 12
#: Values of the scale at which the record says what is sent.
SHOWN_VALUES = 5
_COMMANDS = {"us": "µs", "ticks": "µs", "steps": "steps"}


def calibration_record(panel: Panel, instrument: Instrument, insets: Insets) -> list[Any]:
    """Return the calibration record of an instrument as a story of about one page."""
    from reportlab.platypus import KeepTogether, Spacer

    style = styles()
    session = instrument.calibration.in_force
    head = [text(f"Calibration record: {instrument.title}", style["title"]), text(panel.title, style["body"])]
    if session is None or session.fit is None:
        return [*head, text("Not calibrated yet: there is no fit, so there is no table.", style["body"])]
    fit = session.fit
    plot = plot_fit(fit, session.readings, file_format="pdf", size_mm=PLOT_MM)
    return [
        *head,
        text("Figures", style["heading"]),
        rows(_figures(session, fit), widths_mm=(42, FRAME_MM[0] - 42)),
        text("Residuals from both sides, with the 95 % band", style["heading"]),
        inset(plot, width_mm=PLOT_MM[0], height_mm=PLOT_MM[1], insets=insets),
        *_suspects(fit),
        # who took it signs below what they vouch for, not on a page of its own
        KeepTogether(
            [
                *_table_section(panel, instrument),
                Spacer(1, 6),
                *(text(warning, style["small"]) for warning in fit.warnings),
                Spacer(1, 14),
                text(
                    "Taken by: ____________________   Date: ____________   Instrument no.: ____________",
                    style["body"],
                ),
            ]
        ),
    ]


def _table_section(panel: Panel, instrument: Instrument) -> list[Any]:
    """Return what the firmware was given; no table must not cost the rest of the record."""
    from reportlab.platypus import Spacer

    style = styles()
    head = text("Table in the firmware", style["heading"])
    try:
        table = table_of(panel, instrument)
    except (FitError, TableError) as error:
        return [head, text(f"There is no table: {error}", style["body"])]
    widths_mm = (42, FRAME_MM[0] - 42)
    return [head, rows(_table_rows(table), widths_mm=widths_mm), Spacer(1, 6), _sent(instrument, table)]


def _figures(session: Session, fit: Fit) -> list[tuple[str, str]]:
    low, high = fit.angle_range_deg
    gap = fit.reversal_deg
    worst = max(fit.knots.standard_uncertainty_deg)
    return [
        ("readings", f"{len(session.readings)}, of which {len(fit.suspect_rows)} suspect"),
        ("taken on", session.taken_on or "not noted"),
        (
            "calibrated",
            f"{low:.1f}° to {high:.1f}°, "
            f"{min(fit.command_range):.0f} to {max(fit.command_range):.0f} {_unit(fit)}",
        ),
        ("needle within (95 %)", f"±{2 * worst:.2f}° at the worst angle"),
        (
            "reversal",
            "cannot be told from these readings"
            if gap.value is None
            else f"{gap.value:.2f}°{_give_or_take(gap.standard_uncertainty)}",
        ),
        (
            "repeatability",
            "cannot be told from one cycle"
            if fit.repeatability_deg is None
            else f"{fit.repeatability_deg:.2f}°",
        ),
    ]


def _give_or_take(uncertainty: float | None) -> str:
    return "" if uncertainty is None else f" ± {2 * uncertainty:.2f}°"


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
    maps = "one map for both directions" if table.down is None else "a map for each direction"
    return [
        ("raw values", f"{table.places.raw_low} to {table.places.raw_high}, {maps}"),
        (
            "worst error",
            f"{table.worst_error_in_commands:.2f} {_COMMANDS[table.unit]} against the fit, over every raw "
            "value, rounding included",
        ),
        ("form", table.choice),
    ]


def _sent(instrument: Instrument, table: Table) -> Any:
    """Return what the firmware sends at a few values of the scale, for a look with a meter or a scope.

    Detent marks are among them: they are what the needle must hit.
    """
    low, high = value_range(instrument.face.scale)
    stops = {mark.value: mark.label for mark in instrument.face.detent_marks if low <= mark.value <= high}
    values = sorted({*np.linspace(low, high, SHOWN_VALUES).tolist(), *stops})
    body = []
    for value in values:
        raw = raw_of_value(instrument, value)
        if raw is not None:
            up, down = (table.command(raw, way) for way in (Direction.UP, Direction.DOWN))
            deg = angle_deg(instrument.face.scale, value)
            body.append((_named(value, stops), f"{deg:.1f}°", str(raw), str(up), str(down)))
    unit = f", {instrument.unit}" if instrument.unit else ""
    unit_sent = "µs" if table.unit == "us" else table.unit
    head = (f"value{unit}", "dial angle", "raw", f"{unit_sent} from below", f"{unit_sent} from above")
    return rows([head, *body], widths_mm=(48, 30, 24, 36, 36), head=True)


def _named(value: float, stops: Mapping[float, str]) -> str:
    figure = f"{value:g}"
    if value not in stops:
        return figure
    label = stops[value].strip()
    return f"{figure}, detent" if label in ("", figure) else f"{figure}, detent {label}"
