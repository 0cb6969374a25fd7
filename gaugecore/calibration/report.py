"""A fit in a few lines for people."""

from __future__ import annotations

import numpy as np

from gaugecore.calibration.result import BAND, Fit
from gaugecore.units import COMMAND_UNITS


def describe(fit: Fit) -> str:
    """Return what a fit says, short, for a terminal or a page."""
    low, high = fit.angle_range_deg
    u = BAND * np.asarray(fit.knots.standard_uncertainty_deg)
    unit = COMMAND_UNITS[fit.kind]
    lines = [
        _line("arc", f"{low:.1f}° to {high:.1f}°, commands {fit.command_range[0]:.0f} to "
                     f"{fit.command_range[1]:.0f} {unit}"),
        _line("needle", f"within ±{np.median(u):.2f}° at most angles, ±{u.max():.2f}° at the worst (95 %)"),
        _line("reversal", _reversal(fit)),
        _line("repeatability", _repeatability(fit)),
        *_class_line(fit),
        *_linearity_line(fit),
    ]  # fmt: skip
    if fit.suspect_rows:
        lines += ["", "rows not believed"]
        lines += [f"  row {s.row:<5d} {s.residual_deg:+7.1f}°  {s.reason}" for s in fit.suspect_rows]
    if fit.warnings:
        lines += ["", "mind"]
        lines += [f"  - {warning}" for warning in fit.warnings]
    return "\n".join(lines)


def _line(name: str, text: str) -> str:
    return f"{name:<14}{text}"


def _reversal(fit: Fit) -> str:
    if fit.reversal_deg.value is None:
        return "not known"
    u = fit.reversal_deg.standard_uncertainty
    return f"{fit.reversal_deg.value:.2f}°" + ("" if u is None else f" ± {u:.2f}° (one standard uncertainty)")


def _repeatability(fit: Fit) -> str:
    return "not known" if fit.repeatability_deg is None else f"{fit.repeatability_deg:.2f}°"


def _class_line(fit: Fit) -> list[str]:
    earned = fit.figures.get("accuracy_class")
    if not earned:
        return []
    names = ["beyond 4" if earned[how] is None else f"{earned[how]:g}" for how in ("surely", "probably")]
    span = fit.angle_range_deg[1] - fit.angle_range_deg[0]
    return [_line("class", f"{names[0]} surely, {names[1]} probably (EN 837-1, % of {span:.0f}° of arc)")]


def _linearity_line(fit: Fit) -> list[str]:
    found = fit.figures.get("linearity")
    if not found:
        return []
    line = found["independent"]
    return [
        _line(
            "linearity",
            f"{line['largest_deviation']:.1f}° from the best straight line, which this fit replaces",
        )
    ]
