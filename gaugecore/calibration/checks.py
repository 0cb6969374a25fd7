"""What a fit has to say against the dial it is for."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.calibration.result import Fit
from gaugecore.findings import Finding, Severity


def check_fit(
    fit: Fit, *, arc_deg: tuple[float, float], detents: Sequence[tuple[str, float, float]] = ()
) -> list[Finding]:
    """Return findings about a fit, places relative to the calibration.

    Parameters
    ----------
    fit : Fit
        The fit in force.
    arc_deg : tuple of float
        Smallest and largest dial angle of the scale.
    detents : sequence of (str, float, float)
        Label, dial angle and tolerance (half-width) in degrees of every detent mark.
    """
    findings: list[Finding] = []
    low, high = fit.angle_range_deg
    if low > arc_deg[0] or high < arc_deg[1]:
        findings.append(
            Finding(
                rule="arc-not-calibrated",
                severity=Severity.CAUTION,
                place="calibration.fit",
                message="the fit ends before the scale does; there the needle stays at its last angle",
                measured=f"{low:.1f}° to {high:.1f}°",
                wanted=f"{arc_deg[0]:.1f}° to {arc_deg[1]:.1f}°",
                remedy="take readings beyond both ends of the scale, inside the stops",
            )
        )
    return findings
