"""Remedies that can be carried out: from a finding to the panel in which it is gone.

A remedy is found by trying: the field at fault is changed little by little until the check that complained
is content and no fault has come in its place. So the figures stay where they belong, in the checks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from gaugecore.errors import NeedlewrightError
from gaugecore.face.scale import value_range
from gaugecore.findings import Finding, Severity
from gaugecore.panel.checks import check_panel
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.edit import Place, parse_place, place_text, value_at, with_value

#: A twentieth a step, up to ten times as much or a tenth.
_STEP, _MOST_STEPS = 1.05, 48
#: Lengths are set to a twentieth of a millimetre, which can be made and read.
_GRAIN_MM = 0.05

_UP, _DOWN = (1,), (-1,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """An edit that takes a finding away.

    Attributes
    ----------
    panel : Panel
        The panel with the edit done.
    name : str
        What the edit is called, for people.
    """

    panel: Panel
    name: str


#: By rule: the field below the finding's place, empty for the place itself, and which way to change it.
_BY_TRYING: dict[str, tuple[str, tuple[int, ...]]] = {
    "graduation-width": ("width_mm", _UP),
    "numeral-height": ("height_mm", _UP),
    "label-height": ("height_mm", _UP),
    "stroke-to-height": ("stroke_mm", (1, -1)),
    "ranks-alike": ("length_mm", _DOWN),
    "tip-width": ("", _DOWN),
    "pointer-gap": ("", _DOWN),
    "pointer-reach": ("", (1, -1)),
    "pointer-short": ("", _UP),
}


def can_be_remedied(finding: Finding) -> bool:
    """Return whether there is a way to try; it is cheap, and trying may still find nothing."""
    return finding.rule in _BY_TRYING or finding.rule in _BY_RULE


def remedy_of(panel: Panel, finding: Finding) -> Remedy | None:
    """Return an edit after which a finding is gone, else one after which it weighs less; None: neither.

    Parameters
    ----------
    panel : Panel
        The panel that has the finding.
    finding : Finding
        What `check_panel` said of it.
    """
    tries = _BY_RULE[finding.rule](panel, finding) if finding.rule in _BY_RULE else _stepwise(panel, finding)
    faults_before = _faults(check_panel(panel))
    milder: Remedy | None = None
    for changed, name in tries:
        found = check_panel(changed)
        if _faults(found) > faults_before:
            continue
        left = [f.severity for f in found if (f.rule, f.place) == (finding.rule, finding.place)]
        if not left:
            return Remedy(panel=changed, name=name)
        if milder is None and all(severity.rank > finding.severity.rank for severity in left):
            milder = Remedy(panel=changed, name=name)
    return milder


Tries = Iterator[tuple[Panel, str]]


def _stepwise(panel: Panel, finding: Finding) -> Tries:
    below, ways = _BY_TRYING[finding.rule]
    place: Place = (*parse_place(finding.place), below) if below else parse_place(finding.place)
    try:
        now = value_at(panel, place)
        if now is None and below == "stroke_mm":
            now = value_at(panel, (*place[:-1], "height_mm")) / 10.0
    except NeedlewrightError:
        return
    if not isinstance(now, int | float):
        return
    for step in range(1, _MOST_STEPS + 1):
        for way in ways:
            value = round(now * _STEP ** (way * step) / _GRAIN_MM) * _GRAIN_MM
            value = round(value, 6)
            try:
                changed = with_value(panel, place, value)
            except NeedlewrightError:
                continue
            yield changed, f"{place_text(place[1:])} to {value:g} mm"


def _input_as_scale(panel: Panel, finding: Finding) -> Tries:
    instrument = _instrument(panel, finding)
    if instrument is None:
        return
    low, high = value_range(instrument.face.scale)
    if instrument.raw.low_value > instrument.raw.high_value:
        low, high = high, low
    raw = instrument.raw.model_copy(update={"low_value": float(low), "high_value": float(high)})
    yield (
        with_value(panel, ("instruments", instrument.id, "raw"), raw),
        f"{instrument.id}: input from {low:g} to {high:g}, as the scale",
    )


def _supply_apart(panel: Panel, _finding: Finding) -> Tries:
    yield with_value(panel, ("supply", "movements_apart"), True), "a supply of their own for the movements"


_BY_RULE: dict[str, Callable[[Panel, Finding], Tries]] = {
    "scale-beyond-input": _input_as_scale,
    "input-beyond-scale": _input_as_scale,
    "source-overloaded": _supply_apart,
    "separate-supply": _supply_apart,
    "starting-current": _supply_apart,
}


def _instrument(panel: Panel, finding: Finding) -> Instrument | None:
    steps = finding.place.split(".")
    return panel.instrument(steps[1]) if len(steps) > 1 else None


def _faults(findings: list[Finding]) -> int:
    return sum(finding.severity is Severity.FAULT for finding in findings)
