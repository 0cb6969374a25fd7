"""Text as filled outlines, from any TrueType or OpenType font file the user names.

What is drawn are the outlines themselves, so nothing depends on the font being installed where a file is
opened. Curves become chords that leave them by less than `TOLERANCE_MM`.
"""

from __future__ import annotations

import io
import logging
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any, Final, NamedTuple

from gaugecore.drawing.elements import Operation, Outline
from gaugecore.drawing.lettering import Align
from gaugecore.drawing.winding import filled_by_winding
from gaugecore.errors import DesignError
from gaugecore.files import read_at_most
from gaugecore.polar import Point, turned

TOLERANCE_MM: Final = 0.005
_MOST_CHORDS: Final = 64
_LARGEST_BYTES: Final = 32 * 1024 * 1024
#: Pen strokes and components of one letter; a letter made of letters can name more than any machine draws.
_MOST_STROKES: Final = 20_000
#: Farthest a point may lie, in font units: the widest that a glyph table can hold, with room for components.
_FARTHEST_UNITS: Final = 1_000_000.0

_ACCEPTED: Final = "the path of a TTF or OTF file"

Loop = tuple[Point, ...]
Curve = tuple[Point, ...]
Contour = tuple[Curve, ...]
"""Bézier curves of two, three or four points, each beginning where the one before ends."""


@dataclass(frozen=True, slots=True, eq=False)
class Font:
    """What is needed of a font file: outlines by character, in units of which one em has ``units``."""

    name: str
    glyphs: Any
    characters: dict[int, str]
    capital_units: float


def outline_letter(
    text: str,
    font_file: str,
    *,
    operation: Operation,
    part: str,
    height_mm: float,
    at_mm: Point = (0.0, 0.0),
    turn_deg: float = 0.0,
    align: Align = "middle",
    colour: str = "#000000",
) -> Outline | None:
    """Return text as one filled outline; None when it leaves no ink.

    Parameters
    ----------
    text : str
        One line.
    font_file : str
        Path of a TTF or OTF file.
    height_mm : float
        Height of a capital H.
    at_mm, turn_deg, align
        As for strokes: halfway up the capitals; turned clockwise; set by what is drawn.

    Raises
    ------
    DesignError
        If the font cannot be read, or lacks a character; the sentence names text and character.
    """
    return set_letters(
        text,
        load_font(font_file),
        operation=operation,
        part=part,
        height_mm=height_mm,
        at_mm=at_mm,
        turn_deg=turn_deg,
        align=align,
        colour=colour,
    )


def set_letters(
    text: str,
    font: Font,
    *,
    operation: Operation,
    part: str,
    height_mm: float,
    at_mm: Point = (0.0, 0.0),
    turn_deg: float = 0.0,
    align: Align = "middle",
    colour: str = "#000000",
) -> Outline | None:
    """Return text as one filled outline from a font that is loaded; see `outline_letter`.

    Raises
    ------
    DesignError
        If the font lacks a character, or a letter of it is damaged.
    """
    scale = height_mm / font.capital_units
    loops = _set(text, font, TOLERANCE_MM / scale)
    if not loops:
        return None
    xs = [x for loop in loops for x, _ in loop]
    origin = {"left": min(xs), "right": max(xs), "middle": (min(xs) + max(xs)) / 2.0}[align]

    def place(point: Point) -> tuple[float, float, float]:
        x, y = turned(((point[0] - origin) * scale, (point[1] - font.capital_units / 2.0) * scale), turn_deg)
        return x + at_mm[0], y + at_mm[1], 0.0

    return Outline(
        operation=operation,
        part=part,
        colour=colour,
        loops=tuple(tuple(place(point) for point in loop) for loop in loops),
        filled=True,
    )


@lru_cache(maxsize=8)
def load_font(font_file: str) -> Font:
    """Return a font.

    Raises
    ------
    DesignError
        If the file cannot be read or is not a font.
    """
    path = Path(font_file)
    try:
        content = read_at_most(path, _LARGEST_BYTES)
    except OSError as error:
        raise DesignError(
            f"cannot read the font ({error.strerror or error})",
            where="font_file",
            found=font_file,
            accepted=_ACCEPTED,
        ) from error
    if content is None:
        raise DesignError(
            "the file is too large for a font",
            where="font_file",
            found=font_file,
            accepted=f"at most {_LARGEST_BYTES // 1_000_000} MB",
        )
    return font_of(content, name=path.name)


def font_of(content: bytes, *, name: str) -> Font:
    """Return the font in the content of a font file.

    Raises
    ------
    DesignError
        If it is not a font, is damaged, or has nothing to measure by.
    """
    from fontTools.ttLib import TTFont, TTLibError

    # a damaged font is told of once, in our words, not also in the library's log
    logging.getLogger("fontTools").addHandler(logging.NullHandler())
    try:
        font = TTFont(io.BytesIO(content), fontNumber=0, lazy=True)
        characters = font.getBestCmap() or {}
        glyphs = font.getGlyphSet()
        capital = _extent(_contours(glyphs[characters[ord("H")]])) if ord("H") in characters else 0.0
    except TTLibError as error:
        raise DesignError(
            "cannot read the font (it is not a font file)",
            where="font_file",
            found=name,
            accepted=_ACCEPTED,
        ) from error
    except Exception as error:  # fontTools lets a damaged table raise anything
        raise DesignError("the font is damaged", where="font_file", found=name) from error
    if not 0.0 < capital:
        raise DesignError("the font has no capital H to measure by", where="font_file", found=name)
    return Font(name, glyphs, characters, capital)


def _extent(contours: list[Contour]) -> float:
    return max((y for contour in contours for curve in contour for _, y in curve), default=0.0)


def _set(text: str, font: Font, tolerance: float) -> list[Loop]:
    """Return what a line of text fills, as loops in font units, from x = 0."""
    found: list[Loop] = []
    along = 0.0
    for character in text:
        if ord(character) not in font.characters:
            raise DesignError(
                f"the font {font.name} has no character {character!r} (U+{ord(character):04X})",
                found=text,
                accepted="characters of that font, or another font",
            )
        try:
            letter = _letter(character, font, tolerance)
        except Exception as error:  # a damaged table shows only when its letter is drawn
            raise DesignError(
                f"the font {font.name} is damaged at the character {character!r}",
                where="font_file",
                found=text,
            ) from error
        found += [tuple((x + along, y) for x, y in loop) for loop in letter.loops]
        along += letter.advance
    return found


class _Letter(NamedTuple):
    """What one character fills, and how far the next one stands."""

    loops: tuple[Loop, ...]
    advance: float


# a dial is lettered anew at every edit, mostly with the letters it had before
@lru_cache(maxsize=1024)
def _letter(character: str, font: Font, tolerance: float) -> _Letter:
    shape = font.glyphs[font.characters[ord(character)]]
    contours, advance = _contours(shape), float(shape.width)
    return _Letter(filled_by_winding([_flattened(contour, tolerance) for contour in contours]), advance)


def _contours(shape: Any) -> list[Contour]:
    from fontTools.pens.recordingPen import DecomposingRecordingPen

    class CountingPen(DecomposingRecordingPen):  # type: ignore[misc]
        """Gives up on a letter that is made of too many."""

        components = 0

        def addComponent(self, *component: Any) -> None:
            self.components += 1
            if self.components + len(self.value) > _MOST_STROKES:
                raise ValueError("more strokes than a letter has")
            super().addComponent(*component)

    pen = CountingPen(shape.glyphSet if hasattr(shape, "glyphSet") else {})
    shape.draw(pen)
    if len(pen.value) > _MOST_STROKES:
        raise ValueError("more strokes than a letter has")
    contours = contours_of(pen.value)
    for contour in contours:
        for curve in contour:
            if not all(abs(value) <= _FARTHEST_UNITS for point in curve for value in point):
                raise ValueError("a point that lies nowhere")
    return contours


def contours_of(recording: Sequence[tuple[str, tuple[Any, ...]]]) -> list[Contour]:
    """Return what a fontTools pen recorded as closed contours of Bézier curves.

    Contours without a length are left out; open ones are closed.
    """
    from fontTools.pens.basePen import decomposeQuadraticSegment, decomposeSuperBezierSegment

    found: list[Contour] = []
    curves: list[Curve] = []
    start: Point = (0.0, 0.0)
    at: Point = start

    def finish() -> None:
        if curves:
            if at != start:
                curves.append((at, start))
            found.append(tuple(curves))
            curves.clear()

    for verb, points in recording:
        if verb == "moveTo":
            finish()
            start = at = points[0]
        elif verb == "lineTo":
            if points[0] != at:
                curves.append((at, points[0]))
            at = points[0]
        elif verb == "qCurveTo":
            if points[-1] is None:
                # a contour without any point on the curve: it begins halfway between two
                start = at = tuple((a + b) / 2.0 for a, b in zip(points[-2], points[0], strict=True))
                points = (*points[:-1], at)
            for control, end in decomposeQuadraticSegment(points):
                curves.append((at, control, end))
                at = end
        elif verb == "curveTo":
            for one, other, end in decomposeSuperBezierSegment(points):
                curves.append((at, one, other, end))
                at = end
        else:
            finish()
            at = start
    finish()
    return found


def loops_of_text(text: str, font: Font) -> list[Loop]:
    """Return the closed loops of a text in font units, curves as chords fine enough to measure by."""
    return [(*loop, loop[0]) for loop in _set(text, font, font.capital_units / 200.0)]


def _flattened(contour: Contour, tolerance: float) -> Loop:
    return tuple(point for curve in contour for point in _chords(curve, tolerance))


def flattened_mm(contour: Contour, *, units_per_mm: float) -> Loop:
    """Return a contour as a polygon that leaves it by less than the tolerance."""
    return _flattened(contour, TOLERANCE_MM * units_per_mm)


def _chords(curve: Curve, tolerance: float) -> list[Point]:
    """Return the points of a curve except its last one.

    The greatest second difference of the control points bounds how far chords leave the curve.
    """
    bend = max(
        (math.dist((a[0] + c[0], a[1] + c[1]), (2.0 * b[0], 2.0 * b[1])) for a, b, c in _triples(curve)),
        default=0.0,
    )
    degree = len(curve) - 1
    # error of n chords: degree (degree - 1) / 8 times the bend over n squared
    wanted = math.sqrt(degree * (degree - 1) / 8.0 * bend / tolerance) if bend else 1.0
    count = min(max(1, math.ceil(wanted)), _MOST_CHORDS)
    return [_at(curve, n / count) for n in range(count)]


def _triples(curve: Curve) -> list[tuple[Point, Point, Point]]:
    return list(zip(curve, curve[1:], curve[2:], strict=False))


def _at(curve: Curve, t: float) -> Point:
    points = list(curve)
    while len(points) > 1:
        points = [(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for a, b in pairwise(points)]
    return points[0]
