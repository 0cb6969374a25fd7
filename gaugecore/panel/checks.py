"""All findings of a panel: face, movement, supply, calibration, plates, completeness."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from gaugecore.calibration.checks import check_fit
from gaugecore.face.light import Glow
from gaugecore.face.readability import check_face
from gaugecore.face.scale import angle_deg, angle_range_deg, value_range
from gaugecore.findings import Finding
from gaugecore.movement.suitability import check_movement
from gaugecore.panel.completeness import check_completeness
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.making_checks import check_making
from gaugecore.panel.slow_pointer import check_slow_pointer
from gaugecore.supply.budget import check_supply


def check_panel(
    panel: Panel, check_one: Callable[[Instrument], Sequence[Finding]] | None = None
) -> list[Finding]:
    """Return every finding of a panel, the worst first, else in the order of the job.

    Parameters
    ----------
    panel : Panel
    check_one : callable or None
        Stands in for `check_instrument`, in a front end that remembers what it has checked before.
    """
    found: list[Finding] = []
    for instrument in panel.instruments:
        found += (check_one or check_instrument)(instrument)
    found += check_supply(panel.supply, [instrument.movement for instrument in panel.instruments])
    found += check_making(panel)
    found += check_completeness(panel)
    return sorted(found, key=lambda finding: finding.severity.rank)


def check_instrument(instrument: Instrument) -> list[Finding]:
    """Return the findings of one instrument's face, movement and fit."""
    pointer = instrument.pointer
    low_deg, high_deg = angle_range_deg(instrument.face.scale)
    fit, light = instrument.calibration.fit, instrument.making.light
    found = check_face(
        instrument.face,
        pointer_length_mm=pointer.length_mm,
        pointer_gap_mm=pointer.gap_mm,
        tip_width_mm=pointer.tip_width_mm,
        # twice the standard uncertainty holds for about 19 readings of 20
        error_deg=None if fit is None else 2.0 * max(fit.knots.standard_uncertainty_deg),
        back_lit=light is not None and Glow.GRADUATIONS in light.glow,
    )
    found += check_movement(instrument.movement, instrument.train, pointer, arc_deg=high_deg - low_deg)
    found += check_slow_pointer(instrument)
    if fit is not None:
        found += check_fit(fit, arc_deg=(low_deg, high_deg), detents=detents_of(instrument))
    return [finding.within(f"instruments.{instrument.id}") for finding in found]


def detents_of(instrument: Instrument) -> list[tuple[str, float, float]]:
    """Return label, dial angle and tolerance of each detent mark that lies on the scale."""
    scale = instrument.face.scale
    low, high = value_range(scale)
    return [
        (mark.label or f"{mark.value:g}", angle_deg(scale, mark.value), mark.tolerance_deg)
        for mark in instrument.face.detent_marks
        if low <= mark.value <= high
    ]
