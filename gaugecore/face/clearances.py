"""What runs into what on a face: words, figures and icons against other marks, and holes against all ink."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from gaugecore.drawing.ink import Ink, apart_mm
from gaugecore.face.bounds import place_of, split_part
from gaugecore.face.reading_spacing import in_line
from gaugecore.findings import Finding, Severity

#: Boxes that touch are near.
_TOUCHING_MM: Final = 1e-6
_CROWDING: Final = "ASME B40.100-2005 extract: numerals must not crowd or obscure graduations"
_SECTORS: Final = "common practice, no source"
_GEOMETRY: Final = "geometry"
_SCREWS: Final = "pan heads are about twice as wide as their thread (ISO 7045), from memory"
#: How far a screw's head reaches beyond its hole, against the hole's radius.
_HEAD_OF_HOLE: Final = 1.0

_FIRST_MOVED: Final = (
    "legends",
    "detent_marks",
    "numerals",
    "icons",
    "index_triangles",
    "lubber_line",
    "limit_lines",
    "sectors",
    "graduations",
    "apertures",
    "fixing_holes",
    "centre_hole",
)
#: Grounds that text may be meant to stand on.
_COLOURED: Final = frozenset({"sectors", "limit_lines"})
_NAMES: Final = {
    "numerals": "a numeral",
    "graduations": "a graduation",
    "limit_lines": "a limit line",
    "index_triangles": "an index triangle",
    "lubber_line": "the lubber line",
    "icons": "an icon",
    "apertures": "an aperture",
    "sectors": "a sector",
    "legends": "a legend",
    "detent_marks": "a detent mark",
    "centre_hole": "the centre hole",
    "fixing_holes": "a fixing hole",
}


def check_clearances(inks: Iterable[Ink]) -> list[Finding]:
    """Return what collides or crowds; for each pair of kinds the worst place only.

    Parameters
    ----------
    inks : iterable of Ink
        Of all elements of a face except the ground and the outline; holes as solid.
    """
    inks = list(inks)
    edges = np.array([_edges(ink) for ink in inks]).reshape(-1, 4)
    first = [n for n, ink in enumerate(inks) if _is_text(ink) or _is_hole(ink) or _kind(ink) == "icons"]
    first_set = set(first)
    # no two things want to stand farther apart
    widest_mm = max((max(_stroke_mm(inks[n]), _head_mm(inks[n])) for n in first), default=0.0) + _TOUCHING_MM
    worst: dict[tuple[str, str], tuple[float, float, Ink, Ink]] = {}
    for at in first:
        ink = inks[at]
        for other_at in _near(edges, at, widest_mm):
            other = inks[other_at]
            if other_at <= at and other_at in first_set:
                continue  # met from the other side
            pair = (place_of(ink), place_of(other))
            if pair in worst and worst[pair][0] <= 0.0:
                continue  # one place where two things meet is enough to say so
            wanted_mm = _wanted_mm(ink, other)
            if wanted_mm is None:
                continue
            # what lies within something filled, and has no line of its own, is 0 apart
            clear_mm = apart_mm(ink, other, limit_mm=max(wanted_mm, _TOUCHING_MM))
            too_near = clear_mm < wanted_mm or clear_mm <= 0.0
            if too_near and (pair not in worst or clear_mm < worst[pair][0]):
                worst[pair] = (clear_mm, wanted_mm, ink, other)
    return [_finding(*found) for found in worst.values()]


def _edges(ink: Ink) -> tuple[float, float, float, float]:
    box = ink.box
    return box.left_mm, box.bottom_mm, box.right_mm, box.top_mm


def _near(edges: NDArray[np.float64], at: int, limit_mm: float) -> list[int]:
    """Return which inks have boxes closer to one ink's box than a limit, itself left out."""
    left, bottom, right, top = edges[at]
    across = np.maximum(edges[:, 0] - right, left - edges[:, 2])
    up = np.maximum(edges[:, 1] - top, bottom - edges[:, 3])
    near = np.flatnonzero(np.maximum(across, up) < limit_mm)
    return [int(n) for n in near if n != at]


def _kind(ink: Ink) -> str:
    return split_part(ink)[1].split(".")[0]


def _is_text(ink: Ink) -> bool:
    return _kind(ink) in ("numerals", "legends") or ink.part.endswith(".label")


def _is_hole(ink: Ink) -> bool:
    return _kind(ink) in ("centre_hole", "fixing_holes", "apertures")


def _wanted_mm(one: Ink, other: Ink) -> float | None:
    """Return the clear distance two inks should keep, None when they may meet."""
    if _is_hole(one) or _is_hole(other):
        return None if _is_hole(one) and _is_hole(other) else max(_head_mm(one), _head_mm(other))
    texts = [ink for ink in (one, other) if _is_text(ink)]
    if not texts:
        return None if not _COLOURED.isdisjoint((_kind(one), _kind(other))) else 0.0
    if not _COLOURED.isdisjoint((_kind(one), _kind(other))):
        return 0.0
    if _kind(one) == _kind(other) == "numerals":
        return 0.0 if in_line(one, other) else _stroke_mm(one)
    # a stroke's width of clear ground is what keeps two strokes apart to the eye
    return max(map(_stroke_mm, texts))


def _stroke_mm(ink: Ink) -> float:
    return 2.0 * ink.half_width_mm


def _head_mm(ink: Ink) -> float:
    """Return how far beyond its hole the head of a screw covers the face; only fixing holes have one."""
    return ink.box.width_mm / 2.0 * _HEAD_OF_HOLE if _kind(ink) == "fixing_holes" else 0.0


def _finding(clear_mm: float, wanted_mm: float, one: Ink, other: Ink) -> Finding:
    meets = clear_mm <= 0.0
    # the one that is more easily moved is the one spoken of
    subject, against = sorted((one, other), key=lambda ink: _FIRST_MOVED.index(_kind(ink)))
    return Finding(
        rule="runs-into" if meets else "crowded",
        severity=_severity(meets, subject, against),
        place=place_of(subject),
        message=f"{_name(subject)} {'runs into' if meets else 'crowds'} {_name(against, first=False)}.",
        measured="0.00 mm apart" if meets else f"{clear_mm:.2f} mm apart",
        wanted=_wanted(wanted_mm, against),
        source=_SCREWS if _is_hole(against) and not meets else _source(against),
        remedy="Move one of them, or make the text smaller.",
        at_mm=subject.middle_mm,
    )


def _wanted(wanted_mm: float, against: Ink) -> str:
    if wanted_mm == 0.0:
        return "clear of it"
    why = "beyond which no screw's head covers it" if _is_hole(against) else "a stroke's width"
    return f"at least {wanted_mm:.2f} mm, {why}"


def _severity(meets: bool, subject: Ink, against: Ink) -> Severity:
    if not meets:
        return Severity.NOTE
    # text on a coloured ground can be meant; the contrast rule judges it
    return Severity.CAUTION if not _COLOURED.isdisjoint((_kind(subject), _kind(against))) else Severity.FAULT


def _source(against: Ink) -> str:
    if _is_hole(against):
        return _GEOMETRY
    return _SECTORS if _kind(against) in _COLOURED else _CROWDING


def _name(ink: Ink, *, first: bool = True) -> str:
    name = _NAMES[_kind(ink)]
    # a value may have a point of its own
    kind, _, value = split_part(ink)[1].partition(".")
    text = f"the numeral at {value}" if kind == "numerals" else name
    return text[0].upper() + text[1:] if first else text
