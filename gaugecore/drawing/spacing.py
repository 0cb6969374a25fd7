"""Optical spacing: how far one single-stroke character must stand from the one before it.

A font's advances leave the feet of an L and an A in each other's way, and know nothing of how broad the
stroke will be. Here the strokes themselves are measured, and a pair that is too close is moved apart.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np

from gaugecore.drawing.glyphs import glyph
from gaugecore.drawing.ink import chords_of, nearest_mm

#: Clear ground between two characters, in strokes; the rule of reading asks for one.
CLEAR_STROKES: Final = 1.25
#: Wide enough in font units, where a capital is 21 high.
_NEAR_ENOUGH: Final = 0.01
_MOST_STEPS: Final = 60


@lru_cache(maxsize=4096)
def moved_apart(before: str, after: str, stroke: float) -> float:
    """Return by how much a character stands farther off than the advance of the one before it says.

    Parameters
    ----------
    before, after : str
        One character each; a space, or one without a shape, is never too close.
    stroke : float
        Line width in font units.

    Examples
    --------
    >>> moved_apart("H", "H", 2.1)
    0.0
    >>> moved_apart("L", "A", 2.1) > 1.0
    True
    """
    one, other = glyph(before), glyph(after)
    if one is None or other is None or not one.strokes or not other.strokes:
        return 0.0
    wanted = stroke * (1.0 + CLEAR_STROKES)
    left, right = chords_of(one.strokes), chords_of(other.strokes)
    moved = 0.0
    # the distance grows no faster than the move, so this never goes past the place sought
    for _ in range(_MOST_STEPS):
        short = wanted - nearest_mm(left, right + np.array((one.advance + moved, 0.0) * 2))
        if short < _NEAR_ENOUGH:
            break
        moved += short
    return moved
