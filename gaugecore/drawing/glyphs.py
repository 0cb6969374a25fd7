"""The shapes of single-stroke characters, from a public stroke font, smoothed and completed.

The font is the simplex roman of the Hershey set, taken from its library. Its curves are coarse chords, which
show at the size of a numeral; they are drawn through again as smooth curves. Characters the font lacks are
composed of its own strokes where that is plain: signs, fractions, letters with accents.

Coordinates here are font units: base line at 0, capital height 21, x from 0 to the advance, y up.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

import numpy as np

from gaugecore.drawing.ink import chords_of, nearest_mm
from gaugecore.drawing.smooth import smoothed
from gaugecore.polar import Point, dial_to_xy_mm

CAPITAL_UNITS: Final = 21.0
#: The library counts downward, with the base line here.
_BASE_LINE: Final = 9.0
_MIDDLE: Final = CAPITAL_UNITS / 2.0
#: Side bearing of most of the font's letters.
_BEARING: Final = 3.0
_SPACE: Final = 11.0
#: Small figures against others.
_SMALL: Final = 0.6
#: From the slash of a fraction to its figures: room even for strokes of a sixth of the height.
_OFF_SLASH: Final = 5.2
_NEAR_ENOUGH: Final = 0.01

Polyline = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Glyph:
    """Strokes of one character, and how far the next one stands."""

    strokes: tuple[Polyline, ...]
    advance: float


@cache
def glyph(character: str) -> Glyph | None:
    """Return the shape of one character, None where it has none."""
    drawn = _SIGNS.get(character)
    if drawn is not None:
        return drawn()
    return _from_library(character) or _accented(character)


@cache
def _library() -> dict[str, Glyph]:
    from HersheyFonts import HersheyFonts

    font: Any = HersheyFonts()
    font.load_default_font("rowmans")
    return {
        character: Glyph(
            tuple(
                smoothed(tuple((x - shape.left_offset, _BASE_LINE - y) for x, y in stroke))
                for stroke in shape.strokes
                if len(stroke) > 1
            ),
            float(shape.char_width),
        )
        for character, shape in font.all_glyphs.items()
        if character.isprintable()
    }


def _from_library(character: str) -> Glyph | None:
    return _library().get(character)


def _spaced(*strokes: Polyline, bearing: float = _BEARING) -> Glyph:
    """Return strokes moved so that each side has the same bearing."""
    left = min(x for stroke in strokes for x, _ in stroke)
    right = max(x for stroke in strokes for x, _ in stroke)
    return Glyph(
        tuple(tuple((x - left + bearing, y) for x, y in stroke) for stroke in strokes),
        right - left + 2.0 * bearing,
    )


def _strokes_of(
    character: str, *, scale: float = 1.0, up: float = 0.0, right: float = 0.0
) -> tuple[Polyline, ...]:
    return tuple(
        tuple((x * scale + right, y * scale + up) for x, y in stroke)
        for stroke in _library()[character].strokes
    )


def _ring(centre: Point, radius: float) -> Polyline:
    return tuple(dial_to_xy_mm(deg, radius, centre) for deg in range(0, 361, 15))


def _bar(length: float, height: float = _MIDDLE) -> Polyline:
    return (0.0, height), (length, height)


def _fraction(top: str, bottom: str) -> Glyph:
    """Return two small figures, each as near to the slash between them as a broad stroke allows."""
    slash: Polyline = ((0.0, -1.0), (15.0, CAPITAL_UNITS + 1.0))
    over = _strokes_of(top, scale=_SMALL, up=CAPITAL_UNITS * (1.0 - _SMALL), right=-20.0)
    under = _strokes_of(bottom, scale=_SMALL, right=20.0)
    return _spaced(*_closed_up(over, slash, 1.0), slash, *_closed_up(under, slash, -1.0))


def _closed_up(strokes: tuple[Polyline, ...], slash: Polyline, way: float) -> tuple[Polyline, ...]:
    """Return strokes moved sideways, to the right or to the left, until they are near a slash."""
    chords, at = chords_of(strokes), chords_of([slash])
    moved = 0.0
    # the distance shrinks no faster than the move, so this never goes past the place sought
    while (spare := nearest_mm(chords + np.array((moved, 0.0) * 2), at) - _OFF_SLASH) > _NEAR_ENOUGH:
        moved += way * spare
    return tuple(tuple((x + moved, y) for x, y in stroke) for stroke in strokes)


def _raised(digit: str) -> Glyph:
    return _spaced(*_strokes_of(digit, scale=_SMALL, up=CAPITAL_UNITS * (1.0 - _SMALL)), bearing=2.0)


def _cross() -> Glyph:
    return _spaced(((0.0, 4.5), (12.0, 16.5)), ((0.0, 16.5), (12.0, 4.5)))


def _plus(*more: Polyline) -> Glyph:
    return _spaced(_bar(14.0), ((7.0, _MIDDLE - 7.0), (7.0, _MIDDLE + 7.0)), *more)


def _divided() -> Glyph:
    return _spaced(_bar(14.0), _ring((7.0, _MIDDLE + 5.0), 0.7), _ring((7.0, _MIDDLE - 5.0), 0.7))


def _micro() -> Glyph:
    letter = _library()["u"]
    stem = min(x for stroke in letter.strokes for x, _ in stroke)
    return Glyph((*letter.strokes, ((stem, 0.0), (stem, -7.0))), letter.advance)


def _slashed(letter: str) -> Glyph:
    shape = _library()[letter]
    xs = [x for stroke in shape.strokes for x, _ in stroke]
    top = max(y for stroke in shape.strokes for _, y in stroke)
    slash: Polyline = ((min(xs) - 0.5, -1.0), (max(xs) + 0.5, top + 1.0))
    return Glyph((*shape.strokes, slash), shape.advance)


def _bracket(side: int) -> Glyph:
    spine, foot = (0.0, 5.0) if side > 0 else (5.0, 0.0)
    return _spaced(((foot, -6.0), (spine, -6.0), (spine, 25.0), (foot, 25.0)))


_SIGNS: Final[dict[str, Callable[[], Glyph]]] = {
    "\u2212": lambda: _spaced(_bar(14.0)),  # minus
    "-": lambda: _spaced(_bar(9.0)),
    "\u2010": lambda: _spaced(_bar(9.0)),
    "\u2011": lambda: _spaced(_bar(9.0)),
    "\u2013": lambda: _spaced(_bar(13.0)),
    "\u2014": lambda: _spaced(_bar(21.0)),
    "+": _plus,
    "±": lambda: _plus(_bar(14.0, 0.0)),
    "×": _cross,
    "÷": _divided,
    "=": lambda: _spaced(_bar(14.0, _MIDDLE - 3.0), _bar(14.0, _MIDDLE + 3.0)),
    "°": lambda: _spaced(_ring((0.0, CAPITAL_UNITS - 3.5), 3.5), bearing=2.0),
    "·": lambda: _spaced(_ring((0.0, _MIDDLE), 1.0)),
    "•": lambda: _spaced(_ring((0.0, _MIDDLE), 2.0), _ring((0.0, _MIDDLE), 1.0)),
    "…": lambda: _spaced(*(_ring((x, 1.0), 1.0) for x in (0.0, 7.0, 14.0))),
    "½": lambda: _fraction("1", "2"),
    "¼": lambda: _fraction("1", "4"),
    "¾": lambda: _fraction("3", "4"),
    "⅓": lambda: _fraction("1", "3"),
    "⅔": lambda: _fraction("2", "3"),
    "⅛": lambda: _fraction("1", "8"),
    "⅜": lambda: _fraction("3", "8"),
    "⅝": lambda: _fraction("5", "8"),
    "⅞": lambda: _fraction("7", "8"),
    "¹": lambda: _raised("1"),
    "²": lambda: _raised("2"),
    "³": lambda: _raised("3"),
    "µ": _micro,
    "μ": _micro,
    "Ø": lambda: _slashed("O"),
    "ø": lambda: _slashed("o"),
    # the font's 1 stands in the width of a 0, which tears numbers such as 110 apart
    "1": lambda: _spaced(*_strokes_of("1")),
    # the font thickens these with double strokes, which would be burnt twice
    "[": lambda: _bracket(1),
    "]": lambda: _bracket(-1),
    # where others have a caret, the font has an arrow
    "^": lambda: _spaced(((0.0, 13.0), (6.0, 21.0), (12.0, 13.0))),
    # the font's own space is as wide as a letter
    " ": lambda: Glyph((), _SPACE),
    "\u00a0": lambda: Glyph((), _SPACE),
    "\u2009": lambda: Glyph((), _SPACE / 2.0),
    "\u202f": lambda: Glyph((), _SPACE / 2.0),
    "‘": lambda: _library()["`"],
    "’": lambda: _library()["'"],
    "′": lambda: _library()["'"],
    "“": lambda: _library()['"'],
    "”": lambda: _library()['"'],
    "″": lambda: _library()['"'],
}

#: Accents above, drawn about x = 0 from y = 0 upward.
_ABOVE: Final[dict[str, tuple[Polyline, ...]]] = {
    "\u0300": (((-2.5, 4.0), (1.5, 0.0)),),
    "\u0301": (((2.5, 4.0), (-1.5, 0.0)),),
    "\u0302": (((-4.0, 0.0), (0.0, 4.0), (4.0, 0.0)),),
    "\u0303": (smoothed(((-5.0, 0.5), (-3.5, 2.5), (-1.5, 2.5), (1.5, 0.8), (3.5, 0.8), (5.0, 2.8))),),
    "\u0304": (((-4.0, 1.5), (4.0, 1.5)),),
    "\u0306": (smoothed(((-4.0, 4.0), (-2.5, 1.0), (0.0, 0.0), (2.5, 1.0), (4.0, 4.0))),),
    "\u0307": (_ring((0.0, 1.5), 1.0),),
    "\u0308": (_ring((-3.5, 1.5), 1.0), _ring((3.5, 1.5), 1.0)),
    "\u030a": (_ring((0.0, 2.5), 2.5),),
    "\u030b": (((0.5, 4.0), (-2.5, 0.0)), ((4.5, 4.0), (1.5, 0.0))),
    "\u030c": (((-4.0, 4.0), (0.0, 0.0), (4.0, 4.0)),),
}
#: Accents below, from y = 0 downward.
_BELOW: Final[dict[str, tuple[Polyline, ...]]] = {
    "\u0327": (((0.0, 0.0), (0.0, -2.0), (2.0, -3.0), (2.0, -5.0), (-1.5, -6.0)),),
    "\u0328": (smoothed(((1.0, 0.0), (-1.0, -2.5), (-0.5, -5.0), (2.5, -5.5))),),
}
_ACCENT_GAP: Final = 2.5
_SMALL_LETTER_UNITS: Final = 14.0


def _accented(character: str) -> Glyph | None:
    decomposed = unicodedata.normalize("NFD", character)
    base, marks = decomposed[:1], decomposed[1:]
    letter = _library().get(base)
    if letter is None or len(marks) != 1 or not base.isalpha():
        return None
    below = _BELOW.get(marks)
    accent = below or _ABOVE.get(marks)
    if accent is None:
        return None
    body = letter.strokes
    if base in "ij" and not below:
        body = tuple(stroke for stroke in body if min(y for _, y in stroke) < _SMALL_LETTER_UNITS)
    xs = [x for stroke in body for x, _ in stroke]
    right = (min(xs) + max(xs)) / 2.0
    up = 0.0 if below else max(y for stroke in body for _, y in stroke) + _ACCENT_GAP
    return Glyph(
        (*body, *(tuple((x + right, y + up) for x, y in stroke) for stroke in accent)), letter.advance
    )
