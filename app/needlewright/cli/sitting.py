"""How a sitting at the bench ended, for machines and for people."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gaugecore.board.board import Board
from gaugecore.board.session import SessionState

if TYPE_CHECKING:
    from gaugecore.calibration.result import Fit


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """A sitting that is over.

    Attributes
    ----------
    instrument : str
        Its id.
    panel, out : Path
        The panel's file, and that of the readings.
    port : str
        Of the board.
    channel : int
        Of the board.
    state : SessionState
        The last one.
    fit : Fit or None
        Of the readings.
    why_not : str or None
        Why there is no fit.
    stored : bool
        Whether the panel has it.
    """

    instrument: str
    panel: Path
    out: Path
    port: str
    channel: int
    state: SessionState
    fit: Fit | None
    why_not: str | None
    stored: bool


def as_json(ended: Ended, board: Board) -> dict[str, Any]:
    """Return the end of a sitting as JSON values, with what its board and the line to it were like."""
    state, fit, counters = ended.state, ended.fit, board.link.counters
    return {
        "instrument": ended.instrument,
        "port": ended.port,
        "board": board.identity.name,
        "channel": ended.channel,
        "command_range": list(state.limits) if state.limits else None,
        "readings": len(state.readings),
        "targets": len(state.targets),
        "out": str(ended.out) if state.readings else None,
        "reversal_deg": fit.reversal_deg.value if fit else None,
        "repeatability_deg": fit.repeatability_deg if fit else None,
        "suspect_rows": [row.row for row in fit.suspect_rows] if fit else [],
        "no_fit_because": ended.why_not,
        "stored": ended.stored,
        "line": {
            name: getattr(counters, name) for name in ("requests", "repeats", "reconnections", "restarts")
        },
    }


def as_text(ended: Ended) -> str:
    """Return the end of a sitting for people."""
    state = ended.state
    lines = [f"{ended.instrument}: {len(state.readings)} of {len(state.targets)} readings"]
    if state.limits is not None:
        lines.append(f"safe range {state.limits[0]:g} to {state.limits[1]:g}, stored in the board")
    if state.readings:
        lines.append(f"readings in {ended.out}")
        if len(state.readings) < len(state.targets):
            lines.append("to go on with them: the same command with --resume")
    if ended.fit is None:
        lines.append(f"no fit: {ended.why_not}")
    else:
        lines.append(_figures(ended.fit))
        again = f"needlewright fit {ended.panel} --instrument {ended.instrument} {ended.out}"
        lines.append(
            f"fit stored in {ended.panel}" if ended.stored else f"fit not stored; to store it: {again}"
        )
    return "\n".join(lines)


def _figures(fit: Fit) -> str:
    value, uncertainty = fit.reversal_deg.value, fit.reversal_deg.standard_uncertainty
    reversal = "not known" if value is None else f"{value:.2f}°"
    if value is not None and uncertainty is not None:
        reversal += f" (standard uncertainty {uncertainty:.2f}°)"
    suspects = ", ".join(str(row.row) for row in fit.suspect_rows) or "none"
    return f"reversal {reversal}; rows that look wrong: {suspects}"
