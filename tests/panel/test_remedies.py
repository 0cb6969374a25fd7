"""Remedies: after one the finding is gone, and nothing worse has come."""

from __future__ import annotations

import pytest

from gaugecore.findings import Finding, Severity
from gaugecore.panel.checks import check_panel
from gaugecore.panel.document import Panel
from gaugecore.panel.edit import Place, with_value
from gaugecore.panel.remedies import can_be_remedied, remedy_of
from tests.crowded_panel import crowded_panel

_DIAL: Place = ("instruments", "dial-1")


def _spoilt(place: Place, value: object) -> Panel:
    return with_value(crowded_panel("Desk"), place, value)


def _finding(panel: Panel, rule: str) -> Finding:
    return next(finding for finding in check_panel(panel) if finding.rule == rule)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("place", "value", "rule"),
    [
        ((*_DIAL, "raw", "high_value"), 80.0, "scale-beyond-input"),
        ((*_DIAL, "raw", "high_value"), 120.0, "input-beyond-scale"),
        ((*_DIAL, "pointer", "length_mm"), 12.0, "pointer-short"),
        ((*_DIAL, "face", "graduations", "major", "width_mm"), 0.1, "graduation-width"),
        ((*_DIAL, "pointer", "tip_width_mm"), 3.0, "tip-width"),
    ],
)
def test_a_remedy_takes_the_finding_away_or_makes_it_lighter_and_brings_no_fault(
    place: Place, value: object, rule: str
) -> None:
    panel = _spoilt(place, value)
    finding = _finding(panel, rule)
    assert can_be_remedied(finding)
    remedy = remedy_of(panel, finding)
    assert remedy is not None
    after = check_panel(remedy.panel)
    left = [f.severity.rank for f in after if (f.rule, f.place) == (rule, finding.place)]
    assert all(rank > finding.severity.rank for rank in left)
    faults = [f for f in after if f.severity is Severity.FAULT]
    assert len(faults) <= len([f for f in check_panel(panel) if f.severity is Severity.FAULT])
    assert remedy.name


@pytest.mark.slow
def test_a_cure_that_makes_numerals_run_into_something_is_none() -> None:
    panel = _spoilt((*_DIAL, "face", "numerals", "height_mm"), 1.5)
    assert remedy_of(panel, _finding(panel, "numeral-height")) is None


def test_what_nobody_knows_how_to_cure_is_not_offered() -> None:
    finding = Finding(rule="parallax", severity=Severity.NOTE, place="instruments.dial-1.face", message="m")
    assert not can_be_remedied(finding)
