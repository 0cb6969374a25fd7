"""Rules of reading for colour: ink on ground, and sectors told apart by every eye."""

from __future__ import annotations

from itertools import combinations
from typing import Final

from gaugecore.face.contrast import DEFICIENCIES, as_seen, contrast, difference
from gaugecore.face.face import Face
from gaugecore.face.law_colours import LAW_COLOURS, NAMES, SOURCE, is_lawful
from gaugecore.findings import Finding, Severity

_TEXT_CONTRAST: Final = 4.5
_SHAPE_CONTRAST: Final = 3.0
_TEXT_SOURCE: Final = "WCAG 2.1, success criterion 1.4.3"
_SHAPE_SOURCE: Final = "WCAG 2.1, success criterion 1.4.11"
#: Distance in L*a*b* below which patches that do not touch are mixed up; from memory, common practice.
_TOLD_APART: Final = 20.0


def check_colours(face: Face) -> list[Finding]:
    """Return what the rules have to say about a face's colours."""
    found = _inks(face)
    for index, sector in enumerate(face.sectors):
        ratio = contrast(sector.colour, face.ground_colour)
        if ratio < _SHAPE_CONTRAST:
            found.append(
                _too_faint(f"face.sectors.{index}", "A sector", ratio, _SHAPE_CONTRAST, _SHAPE_SOURCE)
            )
    return found + _against_law(face) + _mixed_up(face)


def _against_law(face: Face) -> list[Finding]:
    """Return what departs from the law's colours, for sectors that say what they mean."""
    return [
        Finding(
            rule="range-colour",
            severity=Severity.NOTE,
            place=f"face.sectors.{index}",
            message=f"A {meaning.value} range is {NAMES[meaning]} by law; this one is not.",
            measured=sector.colour,
            wanted=f"{NAMES[meaning]}, such as {LAW_COLOURS[meaning]}",
            source=SOURCE,
            remedy="Take such a colour, or leave the meaning out; the choice is yours.",
        )
        for index, sector in enumerate(face.sectors)
        if (meaning := sector.meaning) is not None and not is_lawful(sector.colour, meaning)
    ]


def _inks(face: Face) -> list[Finding]:
    used = [("face.ink_colour", "The ink", face.ink_colour)]
    used += [
        (f"face.legends.{n}", "A legend", legend.colour)
        for n, legend in enumerate(face.legends)
        if legend.colour is not None
    ]
    used += [
        (f"face.detent_marks.{n}", "A detent mark", mark.colour)
        for n, mark in enumerate(face.detent_marks)
        if mark.colour is not None
    ]
    return [
        _too_faint(place, name, ratio, _TEXT_CONTRAST, _TEXT_SOURCE)
        for place, name, colour in used
        if (ratio := contrast(colour, face.ground_colour)) < _TEXT_CONTRAST
    ]


def _too_faint(place: str, name: str, ratio: float, wanted: float, source: str) -> Finding:
    # one third of the way to invisible is no longer a matter of taste
    return Finding(
        rule="contrast",
        severity=Severity.FAULT if ratio < wanted / _SHAPE_CONTRAST else Severity.CAUTION,
        place=place,
        message=f"{name} hardly stands out from the ground.",
        measured=f"{ratio:.2f} : 1",
        wanted=f"at least {wanted:g} : 1",
        source=source,
        remedy="Make one of the two colours lighter or darker.",
    )


def _mixed_up(face: Face) -> list[Finding]:
    """Return a finding for each pair of sector colours that some kind of eye mixes up."""
    places = {sector.colour: index for index, sector in reversed(list(enumerate(face.sectors)))}
    found = []
    for one, other in combinations(sorted(places, key=places.__getitem__), 2):
        apart = {
            deficiency: difference(as_seen(one, deficiency), as_seen(other, deficiency))
            for deficiency in DEFICIENCIES
        }
        mixed = [deficiency for deficiency, distance in apart.items() if distance < _TOLD_APART]
        if mixed:
            found.append(
                Finding(
                    rule="sectors-alike",
                    severity=Severity.CAUTION,
                    place=f"face.sectors.{places[other]}",
                    message=f"With {' and '.join(mixed)}, the sector colours {one} and {other} look alike.",
                    measured=f"{min(apart.values()):.0f} in L*a*b*",
                    wanted=f"at least {_TOLD_APART:g}",
                    source="Machado and others (2009), from memory; the limit is common practice, no source",
                    remedy="Make one of them lighter or darker, or give the sectors different widths.",
                )
            )
    return found
