"""A fit in a few words."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.calibration.readings import Reading
from gaugecore.calibration.result import Fit
from needlewright.ui.findings_list import sentence
from needlewright.ui.translation import translate, with_minus


def fit_in_words(readings: Sequence[Reading], fit: Fit | None, why_not: str) -> str:
    """Return readings and fit as a short text: counts, reversal, repeatability, what to mind."""
    if not readings:
        return translate(
            "fit_words",
            "No readings yet. Connect a board and press Enter at each target, or open a readings file.",
        )
    count = translate("fit_words", "{0} readings").format(len(readings))
    if fit is None:
        return translate("fit_words", "{0}. No fit yet").format(count) + (f": {why_not}." if why_not else ".")
    said = [f"{count}, {_suspects(fit)}."]
    low, high = fit.angle_range_deg
    ends = (with_minus(f"{end:.1f}°") for end in (low, high))
    said.append(translate("fit_words", "Calibrated from {0} to {1}.").format(*ends))
    reversal, spread = fit.reversal_deg.value, fit.reversal_deg.standard_uncertainty
    if reversal is not None:
        band = "" if spread is None else f" ± {1.96 * spread:.2f}°"
        said.append(translate("fit_words", "Reversal {0:.2f}°{1}.").format(reversal, band))
    if fit.repeatability_deg is not None:
        said.append(translate("fit_words", "Repeatability {0:.2f}°.").format(fit.repeatability_deg))
    return " ".join((*said, *(sentence(text) for text in fit.warnings[:1])))


def _suspects(fit: Fit) -> str:
    count = len(fit.suspect_rows)
    if not count:
        return translate("fit_words", "none suspect")
    return (
        translate("fit_words", "1 of them suspect")
        if count == 1
        else translate("fit_words", "{0} of them suspect").format(count)
    )
