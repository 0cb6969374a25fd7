"""How a font measures: the ground between its letters, the breadth of their strokes, the width of figures."""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

import numpy as np

from gaugecore.drawing.ink import chords_of, nearest_mm
from gaugecore.drawing.outline_font import Font, loops_of_text


def tightest_mm(text: str, font: Font, *, height_mm: float) -> tuple[float, float, str] | None:
    """Return the least clear distance between two neighbours in a text, the font's stroke, and which two.

    None when there are no two, or the font has no such letters.
    """
    if not _has(font, text + "H"):
        return None
    units_mm = height_mm / font.capital_units
    pairs = [
        (_clear(font, one, other) * units_mm, one + other)
        for one, other in pairwise(text)
        if not (one + other).isspace()
    ]
    clear_mm, pair = min(pairs, default=(math.inf, ""))
    return None if clear_mm == math.inf else (clear_mm, stroke_of_height(font) * height_mm, pair)


@lru_cache(maxsize=8)
def stroke_of_height(font: Font) -> float:
    """Return how broad the strokes of a font are against its capitals' height.

    That of an H counts: twice its area by the length of its edge, which is exact for a long bar.
    """
    loops = loops_of_text("H", font)
    area = sum((a[0] * b[1] - b[0] * a[1]) / 2.0 for loop in loops for a, b in pairwise(loop))
    edge = sum(math.dist(a, b) for loop in loops for a, b in pairwise(loop))
    return 2.0 * abs(area) / edge / font.capital_units


@lru_cache(maxsize=8)
def figure_width_of_height(font: Font) -> float | None:
    """Return how wide a 0 is against the capitals' height, None where the font has none."""
    xs = [x for loop in loops_of_text("0", font) for x, _ in loop] if _has(font, "0") else []
    return (max(xs) - min(xs)) / font.capital_units if xs else None


def _has(font: Font, text: str) -> bool:
    return all(ord(character) in font.characters for character in text)


@lru_cache(maxsize=4096)
def _clear(font: Font, one: str, other: str) -> float:
    """Return how far two neighbours are apart, in font units; infinite beside a space, 0 where they meet."""
    left, right = (chords_of(loops_of_text(character, font)) for character in (one, other))
    if not len(left) or not len(right):
        return math.inf
    along = float(font.glyphs[font.characters[ord(one)]].width)
    return nearest_mm(left, right + np.array((along, 0.0) * 2))
