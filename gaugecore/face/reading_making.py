"""What a mark must be like to be made: engraved and scored marks have their own limits."""

from __future__ import annotations

from typing import Final

from gaugecore.drawing.lettering import stroke_width_mm
from gaugecore.face.detents import label_height_mm
from gaugecore.face.face import Face, Marking
from gaugecore.face.graduations import Rank, graduations_of, style_of
from gaugecore.findings import Finding, Severity

#: Of a laser's spot, and of text it fills; from memory.
_FINEST_LINE_MM: Final = 0.1
_SMALLEST_TEXT_MM: Final = 2.0
_SOURCE: Final = "laser engraving practice, from memory: lines of 0.1 to 0.3 mm, text of 1.5 to 2 mm"


def check_making(face: Face) -> list[Finding]:
    """Return what is too fine to be engraved or scored; print has no such limits here."""
    if face.marking is Marking.PRINT:
        return []
    found = [
        Finding(
            rule="line-too-fine",
            severity=Severity.CAUTION,
            place=place,
            message="The line is finer than an engraver's spot.",
            measured=f"{width_mm:.3g} mm",
            wanted=f"at least {_FINEST_LINE_MM:g} mm",
            source=_SOURCE,
            remedy="Make it broader.",
        )
        for place, width_mm in _lines(face)
        if width_mm < _FINEST_LINE_MM
    ]
    return found + [
        Finding(
            rule="text-too-small",
            severity=Severity.CAUTION,
            place=place,
            message="The text is so small that engraving may fill its shapes.",
            measured=f"{height_mm:.3g} mm",
            wanted=f"at least {_SMALLEST_TEXT_MM:g} mm",
            source=_SOURCE,
            remedy="Make it larger, or print the face.",
        )
        for place, height_mm in _texts(face)
        if height_mm < _SMALLEST_TEXT_MM
    ]


def _lines(face: Face) -> list[tuple[str, float]]:
    used = {mark.rank for mark in graduations_of(face)}
    lines = [
        (f"face.graduations.{rank.value}", style_of(face, rank).width_mm) for rank in Rank if rank in used
    ]
    if face.numerals is not None and not face.font_file:
        lines.append(("face.numerals", stroke_width_mm(face.numerals.height_mm, face.numerals.stroke_mm)))
    return lines


def _texts(face: Face) -> list[tuple[str, float]]:
    texts = [(f"face.legends.{n}", legend.height_mm) for n, legend in enumerate(face.legends)]
    if face.numerals is not None:
        texts.append(("face.numerals", face.numerals.height_mm))
    if any(mark.label.strip() for mark in face.detent_marks):
        texts.append(("face.detent_marks", label_height_mm(face)))
    return texts
