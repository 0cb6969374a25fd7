"""Rules of reading for the ground between characters, and between one numeral and the next."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, pairwise
from typing import Final

from gaugecore.drawing.elements import Box
from gaugecore.drawing.font_measures import tightest_mm
from gaugecore.drawing.ink import Ink, apart_mm
from gaugecore.drawing.lettering import stroke_width_mm, width_mm
from gaugecore.drawing.outline_font import load_font
from gaugecore.face.bounds import place_of, split_part
from gaugecore.face.detents import label_height_mm
from gaugecore.face.face import Face
from gaugecore.face.graduations import numerals_on
from gaugecore.face.scale_rings import Ring, rings_of
from gaugecore.findings import Finding, Severity

#: Clear ground between two numerals, in widths of a digit; closer, 80 and 100 read as 80100.
_BETWEEN_NUMERALS: Final = 0.5
#: Numerals stand in one line of writing when they overlap by this much of their height.
_IN_LINE: Final = 0.5
#: Distances within a hundredth are equal to the eye.
_NEAR: Final = 0.99


def check_spacing(face: Face, inks: Iterable[Ink]) -> list[Finding]:
    """Return where characters, or numerals, stand so close that they are taken for one.

    Parameters
    ----------
    face : Face
        The design.
    inks : iterable of Ink
        Of all its elements.
    """
    inks = list(inks)
    found = [finding for ring in rings_of(face) for finding in _numerals(ring, inks)]
    if face.font_file:
        found += _outlines(face)
    return [*found, *_arcs(face, inks)]


def in_line(one: Ink, other: Ink) -> bool:
    """Return whether two texts stand side by side, so that they could be read as one."""
    return _share_a_line(one.box, other.box)


def _share_a_line(one: Box, other: Box) -> bool:
    shared_mm = min(one.top_mm, other.top_mm) - max(one.bottom_mm, other.bottom_mm)
    return shared_mm >= _IN_LINE * min(one.height_mm, other.height_mm)


def _numerals(ring: Ring, inks: Sequence[Ink]) -> Iterator[Finding]:
    if ring.numerals is None:
        return
    height_mm = ring.numerals.height_mm
    digit_mm = width_mm("0", height_mm=height_mm) + stroke_width_mm(height_mm, ring.numerals.stroke_mm)
    wanted_mm = _BETWEEN_NUMERALS * digit_mm
    # the boxes are taken once: a dial may have hundreds of numerals, and is checked while it is dragged
    mine = [(ink, ink.box) for ink in inks if ink.part.startswith(f"{ring.prefix}numerals.")]
    worst: tuple[float, Ink, Ink] | None = None
    # where two meet the rule of clearances has said so; where all do, each pair would take its time
    meeting: set[str] = set()
    for (one, box), (other, other_box) in combinations(mine, 2):
        apart = max(box.left_mm - other_box.right_mm, other_box.left_mm - box.right_mm)
        if one.part == other.part or apart >= wanted_mm or not _share_a_line(box, other_box):
            continue
        if one.part in meeting or other.part in meeting:
            continue
        clear_mm = apart_mm(one, other, limit_mm=wanted_mm)
        if clear_mm <= 0.0:
            meeting |= {one.part, other.part}
        elif clear_mm < wanted_mm * _NEAR and (worst is None or clear_mm < worst[0]):
            worst = clear_mm, one, other
    if worst is None:
        return
    clear_mm, one, other = worst
    names = " and ".join(split_part(ink)[1].split(".", 1)[1] for ink in (one, other))
    yield Finding(
        rule="numerals-run-together",
        severity=Severity.CAUTION,
        place=place_of(one),
        message=f"The numerals at {names} stand so close that they read as one.",
        measured=f"{clear_mm:.2f} mm apart",
        wanted=f"at least {wanted_mm:.2f} mm, half a digit's width",
        source="common practice, no source",
        remedy="Number fewer graduations, show thousands, make the numerals smaller or move them outward.",
        at_mm=other.middle_mm,
    )


def _outlines(face: Face) -> Iterator[Finding]:
    """Yield the tightest pair of each text that is set in the outlines of a font."""
    font = load_font(face.font_file)
    texts: dict[str, list[tuple[str, float]]] = {}
    for ring in rings_of(face):
        if ring.numerals is not None:
            height_mm = ring.numerals.height_mm
            texts[f"face.{ring.where('numerals')}"] = [(n.text, height_mm) for n in numerals_on(ring, face)]
    for number, legend in enumerate(face.legends):
        if legend.arc_radius_mm is None:
            texts[f"face.legends.{number}"] = [(legend.text, legend.height_mm)]
    for number, mark in enumerate(face.detent_marks):
        texts[f"face.detent_marks.{number}"] = [(mark.label, label_height_mm(face))]
    for place, words in texts.items():
        tight = [t for word, height_mm in words if (t := tightest_mm(word, font, height_mm=height_mm))]
        if tight:
            clear_mm, stroke_mm, pair = min(tight)
            yield from _close(place, clear_mm, stroke_mm, pair)


def _arcs(face: Face, inks: Sequence[Ink]) -> Iterator[Finding]:
    """Yield the tightest pair of each legend along an arc, where every letter is set by itself."""
    for number, legend in enumerate(face.legends):
        letters = [ink for ink in inks if ink.part == f"legends.{number}"]
        if legend.arc_radius_mm is None or len(letters) < 2:
            continue
        clear_mm = min(apart_mm(one, other) for one, other in pairwise(letters))
        stroke_mm = stroke_width_mm(legend.height_mm, legend.stroke_mm)
        yield from _close(f"face.legends.{number}", clear_mm, stroke_mm, "")


def _close(place: str, clear_mm: float, stroke_mm: float, pair: str) -> Iterator[Finding]:
    if clear_mm >= stroke_mm * _NEAR:
        return
    which = f" in {pair!r}" if pair else ""
    yield Finding(
        rule="characters-close",
        severity=Severity.NOTE,
        place=place,
        message=f"Characters stand closer than the width of a stroke{which}.",
        measured=f"{max(0.0, clear_mm):.2f} mm apart",
        wanted=f"at least {stroke_mm:.2f} mm, a stroke's width",
        source="human engineering handbooks of the MIL-STD-1472 lineage, from memory",
        remedy="Take a font that is set wider, a thinner stroke, or single strokes.",
    )
