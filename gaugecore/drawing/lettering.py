"""Single-stroke lettering: text as open polylines, set exactly by what is drawn.

Nothing here depends on a font being installed where a file is opened. Text is centred by its strokes from
left to right, and by the band from the base line to the capital height from bottom to top, so that figures
are centred both ways and a comma does not lift a number.
"""

from __future__ import annotations

import math
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

import numpy as np

from gaugecore.drawing.elements import Operation, Strokes
from gaugecore.drawing.glyphs import CAPITAL_UNITS, glyph
from gaugecore.drawing.polylines import Array, Polylines
from gaugecore.drawing.smooth import TURN_OF_A_CHORD, smoothed
from gaugecore.drawing.spacing import moved_apart
from gaugecore.errors import DesignError
from gaugecore.polar import Point, turned

#: Stroke to height, ISO 3098 lettering type B, from memory.
STROKE_OF_HEIGHT: Final = 0.1

#: Up to this height the chords that characters are made of are too short to be seen.
_CHORDS_SUIT_MM: Final = 5.0

Align = Literal["middle", "left", "right"]


def stroke_width_mm(height_mm: float, stroke_mm: float | None = None) -> float:
    """Return the line width of lettering: the one given, else a tenth of the height.

    Examples
    --------
    >>> stroke_width_mm(3.5)
    0.35000000000000003
    """
    return height_mm * STROKE_OF_HEIGHT if stroke_mm is None else stroke_mm


# an edit of a dial letters the same numerals in the same places again, at every frame of a drag
@lru_cache(maxsize=512)
def polylines_of(
    text: str,
    *,
    height_mm: float,
    stroke_mm: float | None = None,
    at_mm: Point = (0.0, 0.0),
    turn_deg: float = 0.0,
    align: Align = "middle",
) -> Polylines:
    """Return text as strokes.

    Parameters
    ----------
    text : str
        One line.
    height_mm : float
        Capital height, from the middle of the lowest stroke to the middle of the highest.
    stroke_mm : float or None
        Line width it will be drawn with, which keeps the characters apart; None: a tenth of the height.
    at_mm : Point
        Where the text stands: halfway up its capitals, and there its middle, left or right end.
    turn_deg : float
        Turns the line of writing clockwise about that point.
    align : {"middle", "left", "right"}
        Which part of the drawn strokes comes to stand on the point.

    Raises
    ------
    DesignError
        If a character cannot be lettered; the sentence names text and character.

    Examples
    --------
    >>> strokes = polylines_of("H", height_mm=21.0)
    >>> strokes[0]
    ((-7.0, 10.5), (-7.0, -10.5))
    """
    line = _set(text, stroke_width_mm(height_mm, stroke_mm) / height_mm, _halvings(height_mm))
    left, right = line.sides
    origin = {"left": left, "right": right, "middle": (left + right) / 2.0}[align]
    points_mm = (line.points - np.array((origin, CAPITAL_UNITS / 2.0))) * (height_mm / CAPITAL_UNITS)
    if turn_deg:
        points_mm = np.column_stack(turned((points_mm[:, 0], points_mm[:, 1]), turn_deg))
    return Polylines(points_mm + np.array(at_mm), line.lengths)


def letter(
    text: str,
    *,
    operation: Operation,
    part: str,
    height_mm: float,
    stroke_mm: float | None = None,
    at_mm: Point = (0.0, 0.0),
    turn_deg: float = 0.0,
    align: Align = "middle",
    colour: str = "#000000",
) -> Strokes:
    """Return text as an element; see `polylines_of`."""
    return Strokes(
        operation=operation,
        part=part,
        width_mm=stroke_width_mm(height_mm, stroke_mm),
        colour=colour,
        polylines=polylines_of(
            text, height_mm=height_mm, stroke_mm=stroke_mm, at_mm=at_mm, turn_deg=turn_deg, align=align
        ),
        text=text,
    )


@lru_cache(maxsize=512)
def width_mm(text: str, *, height_mm: float) -> float:
    """Return how far apart the leftmost and the rightmost stroke of a text are, without their width.

    Examples
    --------
    >>> round(width_mm("H", height_mm=3.0), 6)
    2.0
    """
    left, right = _set(text, STROKE_OF_HEIGHT).sides
    return (right - left) * height_mm / CAPITAL_UNITS


def letterable(text: str) -> str:
    """Return a text with a question mark in place of whatever cannot be lettered.

    For captions beside the work only; what the user wants on the face is never changed.
    """
    return "".join(
        character if glyph(character) is not None else "?" for character in unicodedata.normalize("NFC", text)
    )


def fitted(text: str, *, height_mm: float, longest_mm: float) -> str:
    """Return a caption cut short, with dots, to fit a length."""
    # no letter is narrower than a quarter of its height, so the rest could not fit anyhow
    text = letterable(text[: 8 + math.ceil(4.0 * longest_mm / height_mm)])
    if width_mm(text, height_mm=height_mm) <= longest_mm:
        return text
    while text and width_mm(text + "…", height_mm=height_mm) > longest_mm:
        text = text[:-1]
    return text.rstrip() + "…"


@dataclass(frozen=True, slots=True, eq=False)
class _Line:
    """Strokes of a line of text, one after the other, in font units from x = 0.

    Attributes
    ----------
    points : ndarray, shape (n, 2)
        x and y of all points.
    lengths : tuple of int
        How many points each stroke has.
    sides : (float, float)
        The least and the greatest x, without the width of the strokes.
    """

    points: Array
    lengths: tuple[int, ...]
    sides: tuple[float, float]


# a dial is lettered anew at every edit, mostly with the texts it had before
@lru_cache(maxsize=512)
def _set(text: str, stroke_of_height: float, halvings: int = 0) -> _Line:
    strokes: list[Array] = []
    along = 0.0
    before = ""
    for character in unicodedata.normalize("NFC", text):
        shape = glyph(character)
        if shape is None:
            raise DesignError(
                f"the character {character!r} (U+{ord(character):04X}) cannot be lettered",
                found=text,
                accepted="Latin letters, figures and common signs",
            )
        if before:
            along += moved_apart(before, character, round(stroke_of_height * CAPITAL_UNITS, 2))
        drawn = _finer(character, halvings) if halvings else shape.strokes
        strokes.extend(np.array(stroke) + np.array((along, 0.0)) for stroke in drawn)
        along += shape.advance
        before = character
    if not strokes:
        return _Line(np.zeros((0, 2)), (), (0.0, 0.0))
    points = np.concatenate(strokes)
    sides = float(points[:, 0].min()), float(points[:, 0].max())
    return _Line(points, tuple(map(len, strokes)), sides)


def _halvings(height_mm: float) -> int:
    """Return how often the chords of a text are halved: once where it is large.

    Every check of what runs into what takes four times as long for it, so more is left to fonts.
    """
    return int(height_mm > _CHORDS_SUIT_MM)


@lru_cache(maxsize=256)
def _finer(character: str, halvings: int) -> tuple[tuple[Point, ...], ...]:
    shape = glyph(character)
    assert shape is not None  # it has been set
    return tuple(smoothed(stroke, TURN_OF_A_CHORD / 2.0**halvings) for stroke in shape.strokes)
