"""What each stage has to say in a few words: what is missing, or the worst that was found."""

from __future__ import annotations

from collections.abc import Iterable

from gaugecore.findings import Finding, Severity
from gaugecore.panel.document import Instrument
from needlewright.ui.desk import Stage
from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate

Statuses = dict[Stage, str]

#: Which stage a finding belongs to, by the first step of its place below the instrument or the panel.
_STAGE_OF = {
    "face": Stage.FACE,
    "raw": Stage.TABLE,
    "title": Stage.FACE,
    "unit": Stage.FACE,
    "pointer": Stage.MOVEMENT,
    "movement": Stage.MOVEMENT,
    "train": Stage.MOVEMENT,
    "damping": Stage.MOVEMENT,
    "making": Stage.OUTPUT,
    "machine": Stage.OUTPUT,
    "supply": Stage.SUPPLY,
    "calibration": Stage.CALIBRATION,
    "table": Stage.TABLE,
    "stock": Stage.OUTPUT,
    "instruments": Stage.FACE,
}


def stage_of(finding: Finding) -> Stage:
    """Return the stage at which something can be done about a finding."""
    steps = finding.place.split(".")
    first = steps[2] if steps[0] == "instruments" and len(steps) > 2 else steps[0]
    return _STAGE_OF.get(first, Stage.FACE)


def instrument_of(finding: Finding) -> str:
    """Return the id of the instrument a finding is about; empty for the panel as a whole."""
    steps = finding.place.split(".")
    return steps[1] if steps[0] == "instruments" and len(steps) > 1 else ""


def of_instrument(findings: Iterable[Finding], instrument_id: str) -> tuple[Finding, ...]:
    """Return the findings of an instrument and those of the panel as a whole."""
    return tuple(finding for finding in findings if instrument_of(finding) in ("", instrument_id))


def statuses(findings: Iterable[Finding], instrument: Instrument | None) -> Statuses:
    """Return the words under each stage for the instrument on the canvas.

    Parameters
    ----------
    findings : iterable of Finding
        Of the whole panel.
    instrument : Instrument or None
        The one on the canvas; what concerns others is left out.
    """
    if instrument is None:
        return dict.fromkeys(Stage, translate("status", "no instrument"))
    mine = of_instrument(findings, instrument.id)
    at: dict[Stage, list[Finding]] = {stage: [] for stage in Stage}
    for finding in mine:
        at[stage_of(finding)].append(finding)
    said = {stage: _count(there) for stage, there in at.items()}
    if instrument.calibration.fit is None:
        said[Stage.CALIBRATION] = translate("status", "not calibrated")
        said[Stage.TABLE] = translate("status", "needs a fit")
    faults = sum(finding.severity is Severity.FAULT for finding in mine)
    said[Stage.OUTPUT] = (
        translate("status", "can be made")
        if not faults
        else translate("status", "{0} before").format(_number(faults, Severity.FAULT))
    )
    return said


def _count(findings: list[Finding]) -> str:
    for severity in Severity:
        count = sum(finding.severity is severity for finding in findings)
        if count:
            return _number(count, severity)
    return translate("status", "no findings")


_NUMBERS = {
    Severity.FAULT: (QT_TRANSLATE_NOOP("status", "1 fault"), QT_TRANSLATE_NOOP("status", "{0} faults")),
    Severity.CAUTION: (QT_TRANSLATE_NOOP("status", "1 caution"), QT_TRANSLATE_NOOP("status", "{0} cautions")),
    Severity.NOTE: (QT_TRANSLATE_NOOP("status", "1 note"), QT_TRANSLATE_NOOP("status", "{0} notes")),
}


def _number(count: int, severity: Severity) -> str:
    one, more = _NUMBERS[severity]
    return translate("status", one) if count == 1 else translate("status", more).format(count)
