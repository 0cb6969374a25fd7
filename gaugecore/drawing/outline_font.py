"""Text as filled outlines, from any TrueType or OpenType font file the user names.

What is drawn are the outlines themselves, so nothing depends on the font being installed where a file is
opened. Curves become chords that leave them by less than `TOLERANCE_MM`.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

from gaugecore.drawing.elements import Operation, Outline
from gaugecore.drawing.lettering import Align
from gaugecore.errors import DesignError
from gaugecore.polar import Point, turned

TOLERANCE_MM: Final = 0.005
_MOST_CHORDS: Final = 64
_LARGEST_BYTES: Final = 64 * 1024 * 1024

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
    font = load_font(font_file)
    contours = _set(text, font)
    points = [point for contour in contours for curve in contour for point in curve]
    if not points:
        return None
    scale = height_mm / font.capital_units
    loops = [_flattened(contour, TOLERANCE_MM / scale) for contour in contours]
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
    from fontTools.ttLib import TTFont, TTLibError

    path = Path(font_file)
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise DesignError("the file is too large for a font", where="font_file", found=font_file)
        font = TTFont(io.BytesIO(path.read_bytes()), fontNumber=0, lazy=True)
        characters = font.getBestCmap() or {}
        glyphs = font.getGlyphSet()
        capital = _extent(glyphs[characters[ord("H")]]) if ord("H") in characters else None
    except (OSError, TTLibError) as error:
        said = error.strerror if isinstance(error, OSError) and error.strerror else "it is not a font file"
        raise DesignError(
            f"cannot read the font ({said})",
            where="font_file",
            found=font_file,
            accepted="the path of a TTF or OTF file",
        ) from error
    except Exception as error:  # fontTools lets a damaged table raise anything
        raise DesignError("the font is damaged", where="font_file", found=font_file) from error
    if not capital:
        raise DesignError("the font has no capital H to measure by", where="font_file", found=font_file)
    return Font(path.name, glyphs, characters, capital)


def _extent(shape: Any) -> float:
    contours = _contours(shape)
    return max((y for contour in contours for curve in contour for _, y in curve), default=0.0)


def _set(text: str, font: Font) -> list[Contour]:
    """Return the contours of a line of text in font units, from x = 0."""
    found: list[Contour] = []
    along = 0.0
    for character in text:
        name = font.characters.get(ord(character))
        if name is None:
            raise DesignError(
                f"the font {font.name} has no character {character!r} (U+{ord(character):04X})",
                found=text,
                accepted="characters of that font, or another font",
            )
        shape = font.glyphs[name]
        found += [
            tuple(tuple((x + along, y) for x, y in curve) for curve in contour)
            for contour in _contours(shape)
        ]
        along += shape.width
    return found


def _contours(shape: Any) -> list[Contour]:
    from fontTools.pens.recordingPen import DecomposingRecordingPen

    pen = DecomposingRecordingPen(shape.glyphSet if hasattr(shape, "glyphSet") else {})
    shape.draw(pen)
    return contours_of(pen.value)


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
