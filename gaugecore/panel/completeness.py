"""What an instrument still lacks, and whether its stages agree with one another."""

from __future__ import annotations

from gaugecore.calibration.result import Fit
from gaugecore.face.scale import angle_range_deg, value_range
from gaugecore.findings import Finding, Severity
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.needle_of import widest_commands
from gaugecore.units import COMMAND_UNITS, with_unit

#: Half a degree at the end of an arc is below what a needle on a servo can show.
END_TOLERANCE_DEG = 0.5


def check_completeness(panel: Panel) -> list[Finding]:
    """Return what is missing from a panel, and where its parts contradict each other."""
    if not panel.instruments:
        return [
            Finding(
                rule="panel-empty",
                severity=Severity.NOTE,
                place="instruments",
                message="The panel has no instruments yet.",
                remedy="Add one, or start from a sample: needlewright new FILE --like SAMPLE.",
            )
        ]
    found: list[Finding] = []
    for instrument in panel.instruments:
        prefix = f"instruments.{instrument.id}"
        checks = (*_input_covers_scale(instrument), *_calibration(instrument), *_pointer_reaches(instrument))
        found += [finding.within(prefix) for finding in checks]
    return found


def _input_covers_scale(instrument: Instrument) -> list[Finding]:
    low, high = value_range(instrument.face.scale)
    raw = instrument.raw
    low_value, high_value = sorted((raw.low_value, raw.high_value))
    given = with_unit(f"{low_value:g} to {high_value:g}", instrument.unit)
    shown = with_unit(f"{low:g} to {high:g}", instrument.unit)
    found = []
    if low_value < low or high_value > high:
        found.append(
            Finding(
                rule="input-beyond-scale",
                severity=Severity.NOTE,
                place="raw",
                message="The input gives values that the scale does not have; the needle waits at the end.",
                measured=given,
                wanted=shown,
                remedy="Widen the scale, or leave it if the needle may wait there.",
            )
        )
    if low_value > low or high_value < high:
        found.append(
            Finding(
                rule="scale-beyond-input",
                severity=Severity.CAUTION,
                place="raw",
                message="Part of the scale is never reached: the input does not give these values.",
                measured=given,
                wanted=shown,
                remedy="Correct the input range, or shorten the scale.",
            )
        )
    return found


def _calibration(instrument: Instrument) -> list[Finding]:
    fit = instrument.calibration.fit
    if fit is None:
        return [
            Finding(
                rule="not-calibrated",
                severity=Severity.NOTE,
                place="calibration",
                message="There is no fit yet, so there can be no table.",
                remedy="Take readings: needlewright calibrate, or needlewright fit with a readings file.",
            )
        ]
    return [*_made_with(fit, instrument), *_covers_arc(fit, instrument), *_within_limits(fit, instrument)]


def _made_with(fit: Fit, instrument: Instrument) -> list[Finding]:
    if fit.kind == instrument.movement.kind:
        return []
    return [
        Finding(
            rule="fit-of-another-movement",
            severity=Severity.FAULT,
            place="calibration",
            message="The fit was made with another kind of movement.",
            measured=fit.kind,
            wanted=instrument.movement.kind,
            remedy="Calibrate again.",
        )
    ]


def _covers_arc(fit: Fit, instrument: Instrument) -> list[Finding]:
    low_deg, high_deg = angle_range_deg(instrument.face.scale)
    fit_low, fit_high = fit.angle_range_deg
    if max(fit_low - low_deg, high_deg - fit_high) <= END_TOLERANCE_DEG:
        return []
    return [
        Finding(
            rule="fit-short-of-arc",
            severity=Severity.FAULT,
            place="calibration",
            message="The calibrated arc does not reach the ends of the scale; the needle stops short.",
            measured=f"{fit_low:.1f}° to {fit_high:.1f}°",
            wanted=f"{low_deg:g}° to {high_deg:g}°",
            remedy="Take readings out to both ends of the scale; nothing is extrapolated.",
        )
    ]


def _within_limits(fit: Fit, instrument: Instrument) -> list[Finding]:
    low, high = widest_commands(instrument)
    if min(fit.command_range) >= low and max(fit.command_range) <= high:
        return []
    unit = COMMAND_UNITS[instrument.movement.kind]
    return [
        Finding(
            rule="fit-beyond-limits",
            severity=Severity.FAULT,
            place="calibration",
            message="The fit uses commands beyond the movement's limits.",
            measured=f"{min(fit.command_range):.0f} to {max(fit.command_range):.0f} {unit}",
            wanted=f"{low:g} to {high:g} {unit}",
            remedy="Set the limits to what the movement in hand can take, or calibrate inside them.",
        )
    ]


def _pointer_reaches(instrument: Instrument) -> list[Finding]:
    ring = instrument.face.graduations
    inner_mm = ring.outer_radius_mm - ring.major.length_mm
    if instrument.pointer.length_mm >= inner_mm - 3.0:
        return []
    return [
        Finding(
            rule="pointer-short",
            severity=Severity.CAUTION,
            place="pointer.length_mm",
            message="The tip ends well short of the graduations, so the eye has to carry the line on.",
            measured=f"{instrument.pointer.length_mm:g} mm",
            wanted=f"at least {inner_mm - 3.0:g} mm",
            source="MIL-STD-1472 and NUREG-0700 ask that the pointer reach the graduations; from memory",
            remedy=f"Make the pointer {inner_mm:g} mm long.",
        )
    ]
