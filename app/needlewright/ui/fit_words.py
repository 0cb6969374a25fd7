"""A fit in a few words."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.calibration.readings import Reading
from gaugecore.calibration.result import Fit
from needlewright.ui.findings_list import sentence


def fit_in_words(readings: Sequence[Reading], fit: Fit | None, why_not: str) -> str:
    """Return readings and fit as a short text: counts, reversal, repeatability, what to mind."""
    if not readings:
        return "No readings yet."
    count = f"{len(readings)} readings"
    if fit is None:
        return f"{count}. No fit yet" + (f": {why_not}." if why_not else ".")
    said = [f"{count}, {_suspects(fit)}."]
    low, high = fit.angle_range_deg
    said.append(f"Calibrated from {low:.1f}° to {high:.1f}°.")
    reversal, spread = fit.reversal_deg.value, fit.reversal_deg.standard_uncertainty
    if reversal is not None:
        band = "" if spread is None else f" ± {1.96 * spread:.2f}°"
        said.append(f"Reversal {reversal:.2f}°{band}.")
    if fit.repeatability_deg is not None:
        said.append(f"Repeatability {fit.repeatability_deg:.2f}°.")
    return " ".join((*said, *(sentence(text) for text in fit.warnings[:1])))


def _suspects(fit: Fit) -> str:
    count = len(fit.suspect_rows)
    if not count:
        return "none suspect"
    return "1 of them suspect" if count == 1 else f"{count} of them suspect"
