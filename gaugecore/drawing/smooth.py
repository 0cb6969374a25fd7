"""Smooth curves through the points of a coarse polyline."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final

from gaugecore.polar import Point

#: Cosine of 50°: a sharper turn is a corner and stays one. The font's round strokes turn by up to 45°.
_CORNER_COSINE: Final = 0.643
#: A segment longer than this (font units) is meant to be straight.
_STRAIGHT_UNITS: Final = 6.0
#: Sides this short belong to a dot or a hook, whose corners are round in truth.
_DOT_UNITS: Final = 1.5
#: A chord for about each 14° of turn leaves the curve by less than a hundredth of a millimetre in a 4 mm
#: numeral. The difference of two directions is twice the sine of half the turn between them.
TURN_OF_A_CHORD: Final = 0.25
_MOST_CHORDS: Final = 8


def smoothed(points: tuple[Point, ...], turn_of_a_chord: float = TURN_OF_A_CHORD) -> tuple[Point, ...]:
    """Return a polyline drawn through again as a smooth curve; corners and straight pieces stay.

    Parameters
    ----------
    points : tuple of Point
        At least two, in font units, each different from the one before. What has been smoothed already may be
        smoothed again, more finely.
    turn_of_a_chord : float
        About how far the curve may turn over one chord, in radians.

    Returns
    -------
    tuple of Point
        Starts and ends where the given one does, passes through every given point, and stays inside their
        bounding box, so that heights are what the font says.

    Notes
    -----
    Cubic Hermite pieces. The tangent at a point is that of the circle-like blend of its two chords, each
    weighed by the length of the other; beside a straight piece it is the straight piece's own. Straight is
    what is long, and what lies along a side of the bounding box: beyond it the curve must not swell.

    Examples
    --------
    >>> smoothed(((0.0, 0.0), (0.0, 10.0), (10.0, 10.0)))   # a corner
    ((0.0, 0.0), (0.0, 10.0), (10.0, 10.0))
    """
    if len(points) < 3:
        return points
    chords = [_unit(a, b) for a, b in pairwise(points)]
    lengths = [math.dist(a, b) for a, b in pairwise(points)]
    closed = points[0] == points[-1]
    low_x, high_x = min(x for x, _ in points), max(x for x, _ in points)
    low_y, high_y = min(y for _, y in points), max(y for _, y in points)
    straight = [
        length > _STRAIGHT_UNITS
        or start[0] == end[0] in (low_x, high_x)
        or start[1] == end[1] in (low_y, high_y)
        for (start, end), length in zip(pairwise(points), lengths, strict=True)
    ]
    curve = [points[0]]
    for at, (start, end) in enumerate(pairwise(points)):
        leaving = _tangent(chords, lengths, straight, at, closed=closed)
        arriving = _tangent(chords, lengths, straight, at + 1, closed=closed)
        leaving = leaving or _mirrored(arriving, chords[at])
        arriving = arriving or _mirrored(leaving, chords[at])
        if not straight[at] and leaving and arriving:
            for x, y in _between(start, end, leaving, arriving, lengths[at], turn_of_a_chord):
                curve.append((min(max(x, low_x), high_x), min(max(y, low_y), high_y)))
        curve.append(end)
    return tuple(curve)


def _tangent(
    chords: list[Point], lengths: list[float], straight: list[bool], at: int, *, closed: bool
) -> Point | None:
    """Return the direction of the curve at a point, None at a free end or a corner."""
    if at in (0, len(chords)):
        if not closed:
            return None
        before, after = len(chords) - 1, 0
    else:
        before, after = at - 1, at
    a, b = chords[before], chords[after]
    if a[0] * b[0] + a[1] * b[1] < _CORNER_COSINE and max(lengths[before], lengths[after]) > _DOT_UNITS:
        return None
    if straight[before]:
        return a
    if straight[after]:
        return b
    return _unit(
        (0.0, 0.0),
        (
            a[0] * lengths[after] + b[0] * lengths[before],
            a[1] * lengths[after] + b[1] * lengths[before],
        ),
    )


def _mirrored(tangent: Point | None, chord: Point) -> Point | None:
    """Return the tangent at the other end of an arc that has this chord; straight when both are free."""
    if tangent is None:
        return None
    along = tangent[0] * chord[0] + tangent[1] * chord[1]
    return 2.0 * along * chord[0] - tangent[0], 2.0 * along * chord[1] - tangent[1]


def _between(
    start: Point, end: Point, leaving: Point, arriving: Point, length: float, turn_of_a_chord: float
) -> list[Point]:
    """Return the points of a Hermite piece between its ends."""
    found = []
    turn = math.dist(leaving, arriving)
    chords = min(max(1, math.ceil(turn / turn_of_a_chord)), _MOST_CHORDS)
    for step in range(1, chords):
        t = step / chords
        h_start, h_end = (1.0 + 2.0 * t) * (1.0 - t) ** 2, t * t * (3.0 - 2.0 * t)
        h_leaving, h_arriving = t * (1.0 - t) ** 2 * length, t * t * (t - 1.0) * length
        found.append(
            (
                h_start * start[0] + h_end * end[0] + h_leaving * leaving[0] + h_arriving * arriving[0],
                h_start * start[1] + h_end * end[1] + h_leaving * leaving[1] + h_arriving * arriving[1],
            )
        )
    return found


def _unit(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length
