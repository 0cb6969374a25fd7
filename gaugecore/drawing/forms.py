"""The forms of pieces to be nested, where one may lie on a sheet, and where not beside another.

Curves become chords on the safe side: outside where pieces must stay apart, inside where one lies in the hole
of another. Disc against disc is exact in twelve directions, so rows of equal discs lie as close as they can.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import Any, Final

import numpy as np

from gaugecore.drawing.elements import Box
from gaugecore.polar import Point, dial_to_xy_mm, turned

#: Chords to a circle; a multiple of twelve, with their middles on the twelve directions.
_CHORDS: Final = 96
#: Fewer beside anything that is no disc, where nothing can be exact anyhow and there are many corners.
_ROUGH_CHORDS: Final = 64
_CHORD_DEG: Final = 360.0 / _CHORDS
#: What lies exactly side by side still has room for itself.
_PLAY_MM: Final = 1e-6
#: A smaller hole takes nothing worth the trouble.
_LEAST_HOLE_MM: Final = 8.0


@dataclass(frozen=True)
class Form:
    """The form of a piece about its own origin.

    Attributes
    ----------
    name : str
        For people.
    radius_mm : float
        Of a disc about the origin; 0 for anything else.
    hull_mm : tuple of Point
        The convex hull of anything else.
    holes : tuple of (Point, float)
        Centres and radii of round holes that other pieces may lie in.
    turn_deg : float
        How far it has been turned already.
    """

    name: str = field(compare=False)
    radius_mm: float = 0.0
    hull_mm: tuple[Point, ...] = ()
    holes: tuple[tuple[Point, float], ...] = ()
    turn_deg: float = 0.0

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash((self.radius_mm, self.hull_mm, self.holes, self.turn_deg))

    @cached_property
    def box(self) -> Box:
        """Return the rectangle around it."""
        if self.radius_mm:
            r = self.radius_mm
            return Box(left_mm=-r, bottom_mm=-r, right_mm=r, top_mm=r)
        xs, ys = zip(*self.hull_mm, strict=True)
        return Box(left_mm=min(xs), bottom_mm=min(ys), right_mm=max(xs), top_mm=max(ys))

    @property
    def turns(self) -> bool:
        """Return whether it makes a difference to turn it."""
        return not self.radius_mm

    @property
    def size(self) -> str:
        """Return its size in words."""
        if self.radius_mm:
            return f"Ø {2.0 * self.radius_mm:.4g} mm"
        return f"{self.box.width_mm:.4g} x {self.box.height_mm:.4g} mm"

    @cached_property
    def area_mm2(self) -> float:
        """Return its area, less the holes that others may lie in."""
        whole = math.pi * self.radius_mm**2 if self.radius_mm else float(self.polygon.area)
        return whole - sum(math.pi * radius_mm**2 for _, radius_mm in self.holes)

    @property
    def longest_mm(self) -> float:
        """Return the longer side of its box."""
        return max(self.box.width_mm, self.box.height_mm)

    @cached_property
    def polygon(self) -> Any:
        """Return it as a shapely polygon, a disc with its chords outside."""
        from shapely import Polygon

        return _around((0.0, 0.0), self.radius_mm) if self.radius_mm else Polygon(self.hull_mm)

    def turned_by(self, deg: float) -> Form:
        """Return it turned clockwise."""
        return _turned(self, deg) if deg else self


@lru_cache(maxsize=4096)
def _turned(form: Form, deg: float) -> Form:
    return replace(
        form,
        hull_mm=tuple(turned(point, deg) for point in form.hull_mm),
        holes=tuple((turned(centre, deg), radius_mm) for centre, radius_mm in form.holes),
        turn_deg=form.turn_deg + deg,
    )


def form_of(name: str, outline: Any, holes: tuple[tuple[Point, float], ...] = ()) -> Form:
    """Return the form of a piece that is no disc.

    Parameters
    ----------
    name : str
        For people.
    outline : shapely.Polygon
        Its outside.
    holes : tuple of (Point, float)
        Centres and radii of its round holes; small ones are left out.
    """
    hull = outline.convex_hull.exterior.coords[:-1]
    return Form(name, hull_mm=tuple((float(x), float(y)) for x, y in hull), holes=wide_enough(holes))


def wide_enough(holes: tuple[tuple[Point, float], ...]) -> tuple[tuple[Point, float], ...]:
    """Return the holes that other pieces may lie in."""
    return tuple(hole for hole in holes if 2.0 * hole[1] >= _LEAST_HOLE_MM)


def room_for(form: Form, width_mm: float, height_mm: float, margin_mm: float) -> Any:
    """Return where the origin of a form may lie on an empty sheet, as a shapely geometry."""
    from shapely import Polygon, box

    edge = margin_mm - _PLAY_MM
    left, bottom = edge - form.box.left_mm, edge - form.box.bottom_mm
    right, top = width_mm - edge - form.box.right_mm, height_mm - edge - form.box.top_mm
    return box(left, bottom, right, top) if left < right and bottom < top else Polygon()


@lru_cache(maxsize=16384)
def no_fit(lying: Form, form: Form, gap_mm: float) -> Any:
    """Return where the origin of a form must not be while another lies with its own at 0, 0."""
    apart_mm = gap_mm - _PLAY_MM
    if lying.radius_mm and form.radius_mm:
        outside = _around((0.0, 0.0), lying.radius_mm + form.radius_mm + apart_mm)
    else:
        outside = _widened(_swept(lying, form), lying.radius_mm + form.radius_mm + apart_mm)
    for centre_mm, radius_mm in lying.holes:
        outside = outside.difference(_inside(centre_mm, radius_mm - apart_mm, form))
    return outside


def _swept(lying: Form, form: Form) -> Any:
    """Return the hull of one form with the other drawn round it, both without their round parts."""
    from shapely import MultiPoint

    one = np.array(lying.hull_mm or ((0.0, 0.0),))
    other = np.array(form.hull_mm or ((0.0, 0.0),))
    return MultiPoint((one[:, None, :] - other[None, :, :]).reshape(-1, 2)).convex_hull


def _widened(shape: Any, by_mm: float) -> Any:
    if by_mm <= 0.0:
        return shape
    # the library's chords end on the arc, and one may be half as long again as the rest; a little more and
    # their middles are on it
    middle = _middle_of_chord(_ROUGH_CHORDS / 1.5)
    return shape.buffer(by_mm / middle, quad_segs=_ROUGH_CHORDS // 4)


def _inside(centre_mm: Point, radius_mm: float, form: Form) -> Any:
    """Return where the origin of a form may lie with all of it inside a round hole."""
    from shapely import Polygon, intersection_all
    from shapely.affinity import translate

    if radius_mm <= form.radius_mm:
        return Polygon()
    hole = _within(centre_mm, radius_mm - form.radius_mm)
    if form.radius_mm:
        return hole
    return intersection_all([translate(hole, -x, -y) for x, y in form.hull_mm])


def _middle_of_chord(chords: float) -> float:
    """Return how far the middle of a chord is from the centre of a circle of radius 1."""
    return dial_to_xy_mm(180.0 / chords, 1.0)[1]


def _around(centre_mm: Point, radius_mm: float) -> Any:
    return _ring_of_chords(centre_mm, radius_mm / _middle_of_chord(_CHORDS))


def _within(centre_mm: Point, radius_mm: float) -> Any:
    return _ring_of_chords(centre_mm, radius_mm)


def _ring_of_chords(centre_mm: Point, radius_mm: float) -> Any:
    from shapely import Polygon

    return Polygon([dial_to_xy_mm((n + 0.5) * _CHORD_DEG, radius_mm, centre_mm) for n in range(_CHORDS)])
