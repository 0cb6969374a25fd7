"""Equal discs on a sheet in columns: more of them than come of putting one beside the other.

A column may hold its discs spread over the whole height, with columns of one disc fewer standing in its gaps;
or two kinds of column of equally many, one shifted against the other. Which columns follow each other is
found by trying all numbers; the sheet may be looked at from either side.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from gaugecore.polar import Point

#: What just fits, fits.
_DUST_MM = 1e-6


class _Columns(NamedTuple):
    """Two kinds of column: the heights of their discs, and how far different neighbours are apart."""

    heights_mm: tuple[tuple[float, ...], tuple[float, ...]]
    step_mm: float


def most_discs(pitch_mm: float, width_mm: float, height_mm: float) -> tuple[Point, ...]:
    """Return the middles of as many equal discs as columns of them can hold.

    Parameters
    ----------
    pitch_mm : float
        Diameter and gap.
    width_mm, height_mm : float
        Of a sheet without its margins, and a gap more.

    Returns
    -------
    tuple of Point
        From the lower left corner; every disc a pitch from its neighbours or farther.

    Examples
    --------
    >>> len(most_discs(83.0, 293.0, 193.0))   # laid square there are six
    7
    """
    level = _laid(pitch_mm, width_mm, height_mm)
    upright = tuple((y, x) for x, y in _laid(pitch_mm, height_mm, width_mm))
    return max(level, upright, key=len)


def _laid(pitch_mm: float, width_mm: float, height_mm: float) -> tuple[Point, ...]:
    if min(width_mm, height_mm) < pitch_mm - _DUST_MM:
        return ()
    best: tuple[Point, ...] = ()
    for columns in _kinds(pitch_mm, height_mm):
        order = _longest_order(columns, pitch_mm, width_mm - pitch_mm)
        x_mm, last, places = pitch_mm / 2.0, -1, list[Point]()
        for kind in order:
            if last >= 0:
                x_mm += pitch_mm if kind == last else columns.step_mm
            places += [(x_mm, y_mm) for y_mm in columns.heights_mm[kind]]
            last = kind
        if len(places) > len(best):
            best = tuple(places)
    return best


def _kinds(pitch_mm: float, height_mm: float) -> list[_Columns]:
    """Return pairs of columns that can stand side by side."""
    most = int((height_mm + _DUST_MM) // pitch_mm)
    room_mm, half_mm = max(0.0, height_mm - pitch_mm), pitch_mm / 2.0
    # as many in both, the second shifted up by half a spacing, or as far as there is room
    spacing_mm = max(pitch_mm, room_mm / (most - 0.5))
    shift_mm = min(spacing_mm / 2.0, max(0.0, room_mm - (most - 1) * spacing_mm))
    low = tuple(half_mm + n * spacing_mm for n in range(most))
    kinds = [_Columns((low, tuple(y + shift_mm for y in low)), _step_mm(pitch_mm, shift_mm))]
    if most > 1:
        # spread over the height, and one fewer in between
        spread_mm = room_mm / (most - 1)
        full = tuple(half_mm + n * spread_mm for n in range(most))
        between = tuple(y + spread_mm / 2.0 for y in full[:-1])
        kinds.append(_Columns((full, between), _step_mm(pitch_mm, spread_mm / 2.0)))
    return kinds


def _step_mm(pitch_mm: float, shift_mm: float) -> float:
    # the next column but one is like this one, and must clear it too
    return max(math.sqrt(max(0.0, pitch_mm**2 - shift_mm**2)), pitch_mm / 2.0)


def _longest_order(columns: _Columns, pitch_mm: float, width_mm: float) -> list[int]:
    """Return the kinds of column, left to right, that hold the most discs within a width."""
    best: list[int] = []
    # kinds take turns as often as there is width for; what is left over takes columns beside their like
    for changes in range(int((width_mm + _DUST_MM) / columns.step_mm) + 1):
        alike = int((width_mm - changes * columns.step_mm + _DUST_MM) // pitch_mm)
        for first in (0, 1):
            order = [(first + n) % 2 for n in range(changes + 1)]
            fuller = 0 if len(columns.heights_mm[0]) >= len(columns.heights_mm[1]) else 1
            at = order.index(fuller) if fuller in order else 0
            order[at:at] = [order[at]] * max(0, alike)
            if _held(columns, order) > _held(columns, best):
                best = order
    return best


def _held(columns: _Columns, order: list[int]) -> int:
    return sum(len(columns.heights_mm[kind]) for kind in order)
