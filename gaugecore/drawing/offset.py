"""A closed loop moved outward or inward by a distance; lines stay lines and arcs stay true arcs.

Each piece is moved along its own normal and neighbours are brought together again: outer corners by
prolonging two lines or by an arc about the corner, inner corners where the moved pieces meet. The result is
held against the geometry library's own offset; where a piece has vanished or the two differ, the library's is
taken, whose curves are chords.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Final

from gaugecore.drawing.elements import Vertex
from gaugecore.drawing.ring import bow_of
from gaugecore.drawing.shapes import polygon_of
from gaugecore.errors import DesignError
from gaugecore.polar import Point, bulge_of, xy_mm_to_dial

#: Below what any machine can place.
_DUST_MM: Final = 1e-9
#: How far the result may leave the library's; chords alone make 0.002 mm.
_AGREE_MM: Final = 0.006
#: A corner is prolonged to no more than this many distances from where it was; sharper ones get an arc.
_LONGEST_MITRE: Final = 2.0
_QUARTER_CHORDS: Final = 32
#: What an inner corner loses to the round beam, in squares of its radius: 0.2 for a right angle, 2.4 for 30°.
_FILLET: Final = 3.0


@dataclass(frozen=True, slots=True)
class _Piece:
    """A line, or an arc about ``centre`` when there is one, turning clockwise when ``span_deg`` > 0."""

    start: Point
    end: Point
    centre: Point | None = None
    radius: float = 0.0
    span_deg: float = 0.0


def offset_loop(loop: tuple[Vertex, ...], by_mm: float, *, part: str = "") -> tuple[Vertex, ...]:
    """Return a loop moved outward by a distance, inward when it is negative.

    Parameters
    ----------
    loop : tuple of Vertex
        Closed, not crossing itself, either way round.
    by_mm : float
        How far.
    part : str
        Named when it cannot be done.

    Raises
    ------
    DesignError
        If nothing or several pieces would be left, or an opening would close.

    Examples
    --------
    >>> square = ((0.0, 0.0, 0.0), (40.0, 0.0, 0.0), (40.0, 40.0, 0.0), (0.0, 40.0, 0.0))
    >>> [tuple(round(n, 9) for n in vertex) for vertex in offset_loop(square, 0.1)]
    [(-0.1, -0.1, 0.0), (40.1, -0.1, 0.0), (40.1, 40.1, 0.0), (-0.1, 40.1, 0.0)]
    """
    before = polygon_of(loop)
    wanted = before.buffer(by_mm, quad_segs=_QUARTER_CHORDS)
    _check(before, wanted, by_mm, part)
    to_right_mm = by_mm if _is_anticlockwise(loop) else -by_mm
    made = _moved(_pieces(loop), to_right_mm)
    if made is not None and _agrees(made, before, wanted, abs(by_mm)):
        return made
    return tuple((x, y, 0.0) for x, y in wanted.exterior.coords[:-1])


def _check(before: Any, wanted: Any, by_mm: float, part: str) -> None:
    from shapely import get_parts

    opening = "hole" if by_mm < 0 else "outline"
    if wanted.is_empty or wanted.geom_type != "Polygon":
        left, bottom, right, top = before.bounds
        raise DesignError(
            f"the {opening} is too narrow for a kerf of {2 * abs(by_mm):g} mm",
            where=part,
            found=f"{right - left:.4g} x {top - bottom:.4g} mm",
            accepted="nothing narrower than the kerf",
        )
    # there and back again: what has closed up on the way does not come back, but for a corner's fillet
    back = wanted.buffer(-by_mm, quad_segs=_QUARTER_CHORDS)
    lost = get_parts(back.symmetric_difference(before).buffer(-_AGREE_MM))
    if wanted.interiors or any(part.area > _FILLET * by_mm**2 for part in lost):
        raise DesignError(
            f"part of the {opening} is narrower than the kerf of {2 * abs(by_mm):g} mm and would close up",
            where=part,
            accepted="slots and necks wider than the kerf",
        )


def _is_anticlockwise(loop: tuple[Vertex, ...]) -> bool:
    area = sum(x * next_y - next_x * y for (x, y, _), (next_x, next_y, _) in pairwise((*loop, loop[0])))
    # the segments between chords and arcs count too, for a circle of two halves has no other area
    for (x, y, bulge), (next_x, next_y, _) in pairwise((*loop, loop[0])):
        area += bulge * math.hypot(next_x - x, next_y - y) ** 2
    return area > 0.0


def _pieces(loop: tuple[Vertex, ...]) -> list[_Piece]:
    pieces = []
    for (x, y, bulge), (next_x, next_y, _) in pairwise((*loop, loop[0])):
        start, end = (x, y), (next_x, next_y)
        if math.dist(start, end) <= _DUST_MM:
            continue
        if bulge:
            bow = bow_of(start, end, bulge)
            pieces.append(_Piece(start, end, bow.centre_mm, bow.radius_mm, bow.span_deg))
        else:
            pieces.append(_Piece(start, end))
    return pieces


def _moved(pieces: list[_Piece], to_right_mm: float) -> tuple[Vertex, ...] | None:
    """Return the moved loop, None where a piece vanishes."""
    moved = []
    for piece in pieces:
        shifted = _shifted(piece, to_right_mm)
        if shifted is None:
            return None
        moved.append(shifted)
    starts: list[Point] = [piece.start for piece in moved]
    ends: list[Point] = [piece.end for piece in moved]
    arcs: dict[int, float] = {}
    for index, piece in enumerate(moved):
        following = (index + 1) % len(moved)
        corner = pieces[index].end
        if math.dist(piece.end, moved[following].start) <= _DUST_MM:
            continue
        turn_deg = _turn_deg(pieces[index], pieces[following])
        opens = turn_deg * to_right_mm < 0.0
        met = _meeting(piece, moved[following], corner)
        if opens and not _may_prolong(piece, moved[following], met, corner, to_right_mm):
            arcs[index] = bulge_of(turn_deg)
        elif met is None:
            return None
        else:
            ends[index] = starts[following] = met
    made: list[Vertex] = []
    for index, piece in enumerate(moved):
        bulge = _bulge(piece, starts[index], ends[index])
        if bulge is None:
            return None
        made.append((*starts[index], bulge))
        if index in arcs:
            made.append((*ends[index], arcs[index]))
    return tuple(made)


def _shifted(piece: _Piece, to_right_mm: float) -> _Piece | None:
    if piece.centre is None:
        (x, y), (next_x, next_y) = piece.start, piece.end
        length = math.dist(piece.start, piece.end)
        across = (next_y - y) / length * to_right_mm, (x - next_x) / length * to_right_mm
        return _Piece((x + across[0], y + across[1]), (next_x + across[0], next_y + across[1]))
    # the centre lies to the right of an arc that turns clockwise
    radius = piece.radius - to_right_mm if piece.span_deg > 0 else piece.radius + to_right_mm
    if radius <= _DUST_MM:
        return None
    scale = radius / piece.radius
    cx, cy = piece.centre
    start, end = ((cx + (x - cx) * scale, cy + (y - cy) * scale) for x, y in (piece.start, piece.end))
    return replace(piece, start=start, end=end, radius=radius)


def _turn_deg(piece: _Piece, following: _Piece) -> float:
    """Return how far the way turns clockwise from the end of one piece to the start of the next."""
    turn = _heading_deg(following, following.start) - _heading_deg(piece, piece.end)
    return (turn + 180.0) % 360.0 - 180.0


def _heading_deg(piece: _Piece, at: Point) -> float:
    if piece.centre is None:
        return xy_mm_to_dial(piece.end[0] - piece.start[0], piece.end[1] - piece.start[1])[0]
    outward_deg, _ = xy_mm_to_dial(at[0] - piece.centre[0], at[1] - piece.centre[1])
    return outward_deg + 90.0 if piece.span_deg > 0 else outward_deg - 90.0


def _may_prolong(piece: _Piece, following: _Piece, met: Point | None, corner: Point, by_mm: float) -> bool:
    straight = piece.centre is None and following.centre is None
    return straight and met is not None and math.dist(met, corner) <= _LONGEST_MITRE * abs(by_mm)


def _meeting(one: _Piece, other: _Piece, corner: Point) -> Point | None:
    """Return where the lines or circles that two pieces lie on meet, nearest to their old corner."""
    if one.centre is None and other.centre is None:
        points = _line_line(one, other)
    elif one.centre is None:
        points = _line_circle(one, other)
    elif other.centre is None:
        points = _line_circle(other, one)
    else:
        points = _circle_circle(one, other)
    return min(points, key=lambda point: math.dist(point, corner), default=None)


def _line_line(one: _Piece, other: _Piece) -> list[Point]:
    ax, ay = one.end[0] - one.start[0], one.end[1] - one.start[1]
    bx, by = other.end[0] - other.start[0], other.end[1] - other.start[1]
    cross = ax * by - ay * bx
    if abs(cross) <= 1e-12 * math.hypot(ax, ay) * math.hypot(bx, by):
        return []
    along = ((other.start[0] - one.start[0]) * by - (other.start[1] - one.start[1]) * bx) / cross
    return [(one.start[0] + along * ax, one.start[1] + along * ay)]


def _line_circle(line: _Piece, arc: _Piece) -> list[Point]:
    assert arc.centre is not None
    length = math.dist(line.start, line.end)
    ux, uy = (line.end[0] - line.start[0]) / length, (line.end[1] - line.start[1]) / length
    px, py = arc.centre[0] - line.start[0], arc.centre[1] - line.start[1]
    along, across = px * ux + py * uy, px * uy - py * ux
    if abs(across) > arc.radius:
        return []
    half = math.sqrt(arc.radius**2 - across**2)
    return [(line.start[0] + t * ux, line.start[1] + t * uy) for t in (along - half, along + half)]


def _circle_circle(one: _Piece, other: _Piece) -> list[Point]:
    assert one.centre is not None
    assert other.centre is not None
    apart = math.dist(one.centre, other.centre)
    if apart <= _DUST_MM or not abs(one.radius - other.radius) <= apart <= one.radius + other.radius:
        return []
    ux, uy = (other.centre[0] - one.centre[0]) / apart, (other.centre[1] - one.centre[1]) / apart
    along = (apart**2 + one.radius**2 - other.radius**2) / (2.0 * apart)
    half = math.sqrt(max(0.0, one.radius**2 - along**2))
    x, y = one.centre[0] + along * ux, one.centre[1] + along * uy
    return [(x - half * uy, y + half * ux), (x + half * uy, y - half * ux)]


def _bulge(piece: _Piece, start: Point, end: Point) -> float | None:
    """Return the bulge of a moved piece between its new ends, None when it has turned round."""
    if piece.centre is None:
        forward = (end[0] - start[0]) * (piece.end[0] - piece.start[0])
        forward += (end[1] - start[1]) * (piece.end[1] - piece.start[1])
        return 0.0 if forward > 0.0 else None
    (start_deg, _), (end_deg, _) = (
        xy_mm_to_dial(x - piece.centre[0], y - piece.centre[1]) for x, y in (start, end)
    )
    sense = 1.0 if piece.span_deg > 0 else -1.0
    span_deg = sense * ((sense * (end_deg - start_deg)) % 360.0)
    return bulge_of(span_deg) if abs(span_deg - piece.span_deg) < 180.0 else None


def _agrees(made: tuple[Vertex, ...], before: Any, wanted: Any, by_mm: float) -> bool:
    """Return whether a moved loop is sound and nowhere nearer the old one than it should be."""
    after = polygon_of(made)
    if after.geom_type != "Polygon" or not after.is_valid or after.interiors:
        return False
    # corners may stand out, as far as they may be prolonged; nothing else may be missing or over
    corners_mm = (_LONGEST_MITRE - 1.0) * by_mm + _AGREE_MM
    return bool(
        after.exterior.distance(before.exterior) >= by_mm - _AGREE_MM
        and wanted.buffer(corners_mm).contains(after)
        and after.buffer(corners_mm).contains(wanted)
        and after.buffer(_AGREE_MM).symmetric_difference(wanted.buffer(_AGREE_MM)).area
        <= by_mm**2 * len(made) + 0.001 * wanted.length
    )
