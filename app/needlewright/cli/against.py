"""The option ``--against``: an earlier fit, from a file or from a session of the panel."""

from __future__ import annotations

from pathlib import Path

from gaugecore.calibration.compare import Comparison
from gaugecore.calibration.fit_file import read_fit
from gaugecore.calibration.result import Fit
from gaugecore.errors import InputError
from gaugecore.panel.document import Instrument


def earlier_fit(against: str, instrument: Instrument | None) -> Fit:
    """Return the fit to compare with.

    Parameters
    ----------
    against : str
        Number of a session of the instrument, from 1, or the name of a fit file.
    instrument : Instrument or None
        None: there is no panel, and only a file will do.

    Raises
    ------
    InputError
        If there is no such session, it has no fit, or the file is none.
    """
    if instrument is None or not against.isdecimal():
        return read_fit(Path(against))
    sessions = instrument.calibration.sessions
    number = int(against)
    fit = sessions[number - 1].fit if 1 <= number <= len(sessions) else None
    if fit is None:
        fitted = [str(n) for n, session in enumerate(sessions, start=1) if session.fit is not None]
        raise InputError(
            f"{instrument.id} has no session with a fit under this number",
            where="--against",
            found=against,
            accepted=", ".join(fitted) or "none: no session has a fit; or a fit file",
        )
    return fit


def describe_change(comparison: Comparison, against: str) -> list[str]:
    """Return a comparison as lines for people."""
    name = f"session {against}" if against.isdecimal() else against
    lines = [f"against {name}", f"  {comparison.sentence()}"]
    change, u = comparison.reversal_change_deg, comparison.reversal_change_u_deg
    if change is not None and u is not None:
        lines.append(f"  reversal has changed by {change:+.2f}° ± {u:.2f}° (one standard uncertainty)")
    return lines
