"""What a fit has to say against the dial it is for."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gaugecore.calibration.detents import cover_probability
from gaugecore.calibration.readings import Direction
from gaugecore.calibration.result import BAND, Fit
from gaugecore.findings import Finding, Severity

#: A detent mark is to be hit exactly: once in twenty it may be missed.
_SURE = 0.95
_LIKELY = 0.5
#: The coarsest class of EN 837-1, in percent of span: beyond it a dial is an ornament.
_COARSEST_PERCENT = 4.0
_MANY_SUSPECTS = 0.15


def check_fit(
    fit: Fit, *, arc_deg: tuple[float, float], detents: Sequence[tuple[str, float, float]] = ()
) -> list[Finding]:
    """Return findings about a fit, places relative to the instrument.

    Parameters
    ----------
    fit : Fit
        The fit in force.
    arc_deg : tuple of float
        Smallest and largest dial angle of the scale.
    detents : sequence of (str, float, float)
        Label, dial angle and tolerance (half-width) in degrees of every detent mark.

    Notes
    -----
    Whether the fit reaches the ends of the scale and stays inside the movement's limits is a question of
    completeness, which the panel asks.
    """
    found = _accuracy(fit, arc_deg) + _direction(fit) + _suspects(fit)
    for label, angle_deg, tolerance_deg in detents:
        found += _detent(fit, label, angle_deg, tolerance_deg)
    return found


def _accuracy(fit: Fit, arc_deg: tuple[float, float]) -> list[Finding]:
    worst = BAND * max(fit.knots.standard_uncertainty_deg)
    limit = _COARSEST_PERCENT / 100.0 * (arc_deg[1] - arc_deg[0])
    if worst <= limit:
        return []
    at = fit.knots.angle_deg[int(np.argmax(fit.knots.standard_uncertainty_deg))]
    return [
        Finding(
            rule="needle-uncertain",
            severity=Severity.CAUTION,
            place="calibration.fit",
            message=f"Near {at:.0f}° the needle may be further off than the coarsest accuracy class allows.",
            measured=f"±{worst:.1f}° (95 %)",
            wanted=f"±{limit:.1f}°, 4 % of the arc",
            source="EN 837-1:1996, table 11",
            remedy="Take more readings there, from both sides.",
        )
    ]


def _direction(fit: Fit) -> list[Finding]:
    if fit.reversal_deg.value is not None:
        return []
    return [
        Finding(
            rule="reversal-unknown",
            severity=Severity.CAUTION,
            place="calibration.fit",
            message="Only one direction was read; the other way the needle is off by the lost motion.",
            wanted="readings from both sides",
            source="ISO 230-2, bidirectional approach",
            remedy="Read the marks again with falling dial angle.",
        )
    ]


def _suspects(fit: Fit) -> list[Finding]:
    count, readings = len(fit.suspect_rows), fit.figures.get("readings", 0)
    if count == 0 or count < _MANY_SUSPECTS * (count + readings):
        return []
    return [
        Finding(
            rule="many-suspect-rows",
            severity=Severity.CAUTION,
            place="calibration.fit",
            message="Many readings are not believed.",
            measured=f"{count} of {count + readings}: rows "
            + ", ".join(str(suspect.row) for suspect in fit.suspect_rows[:12]),
            source="common practice, no source",
            remedy="Read these commands again under a new cycle number.",
        )
    ]


def _detent(fit: Fit, label: str, angle_deg: float, tolerance_deg: float) -> list[Finding]:
    place = "face.detent_marks"
    low, high = fit.angle_range_deg
    if not low <= angle_deg <= high:
        return [
            Finding(
                rule="detent-not-calibrated",
                severity=Severity.FAULT,
                place=place,
                message=f"The detent mark {label} lies outside the calibrated arc: the needle stops short.",
                measured=f"{angle_deg:.1f}°",
                wanted=f"{low:.1f}° to {high:.1f}°",
                remedy="Take readings beyond the mark, inside the stops.",
            )
        ]
    chance = min(
        cover_probability(fit, angle_deg, tolerance_deg=tolerance_deg, direction=side)
        for side in (Direction.UP, Direction.DOWN)
    )
    if chance >= _SURE:
        return []
    return [
        Finding(
            rule="detent-may-be-missed",
            severity=Severity.CAUTION if chance >= _LIKELY else Severity.FAULT,
            place=place,
            message=f"The needle may stop beside the detent mark {label}.",
            measured=f"covered with a probability of {chance:.0%}",
            wanted=f"at least {_SURE:.0%} within ±{tolerance_deg:g}°",
            source="the fit's own uncertainty",
            remedy="Jog the needle onto this mark from both sides and add the readings.",
        )
    ]
