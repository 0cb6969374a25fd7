"""Mass of a flat pointer: how heavy, where its centre is, how hard to turn, how far out of balance.

Everything comes from the drawn outline, lines and true arcs alike, by Green's theorem and the closed forms of
the circular segment; nothing is sampled.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, cos, hypot, pi, radians, sin

from gaugecore.drawing.elements import Vertex
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.pointer_plate import pointer_loop
from gaugecore.polar import Point, turned

#: Standard acceleration of gravity, exact by definition (CGPM 1901).
GRAVITY_M_S2 = 9.80665


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaMoments:
    """Moments of a flat shape about the pivot.

    Attributes
    ----------
    area_mm2 : float
    x_mm3, y_mm3 : float
        First moments: area times centroid.
    polar_mm4 : float
        Second polar moment.
    """

    area_mm2: float = 0.0
    x_mm3: float = 0.0
    y_mm3: float = 0.0
    polar_mm4: float = 0.0

    def plus(self, other: AreaMoments, sign: float = 1.0) -> AreaMoments:
        """Return both shapes together, or one with the other taken out."""
        return AreaMoments(
            area_mm2=self.area_mm2 + sign * other.area_mm2,
            x_mm3=self.x_mm3 + sign * other.x_mm3,
            y_mm3=self.y_mm3 + sign * other.y_mm3,
            polar_mm4=self.polar_mm4 + sign * other.polar_mm4,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Mass:
    """What turns on the shaft.

    Attributes
    ----------
    mass_g : float
    centre_mm : tuple of float
        Centre of mass when the pointer stands at twelve o'clock; the pivot is the origin.
    inertia_gmm2 : float
        About the pivot.
    """

    mass_g: float
    centre_mm: Point
    inertia_gmm2: float

    @property
    def unbalance_gmm(self) -> float:
        """Return mass times the distance of its centre from the pivot."""
        return self.mass_g * hypot(*self.centre_mm)

    def unbalance_torque_mnm(self, dial_deg: float, tilt_deg: float = 90.0) -> float:
        """Return the torque of gravity, clockwise positive.

        Parameters
        ----------
        dial_deg : float
            Where the pointer stands.
        tilt_deg : float
            Tilt of the panel from lying flat: 0 flat, 90 upright.
        """
        x_mm, _ = turned(self.centre_mm, dial_deg)
        return self.mass_g * GRAVITY_M_S2 * sin(radians(tilt_deg)) * x_mm / 1000.0

    def worst_unbalance_torque_mnm(self, tilt_deg: float = 90.0) -> float:
        """Return the largest torque of gravity over a whole turn."""
        return self.unbalance_gmm * GRAVITY_M_S2 * abs(sin(radians(tilt_deg))) / 1000.0


def loop_moments(loop: Sequence[Vertex]) -> AreaMoments:
    """Return the moments of a closed loop of lines and arcs, whichever way it runs.

    Examples
    --------
    >>> square = ((0.0, 0.0, 0.0), (2.0, 0.0, 0.0), (2.0, 2.0, 0.0), (0.0, 2.0, 0.0))
    >>> loop_moments(square)
    AreaMoments(area_mm2=4.0, x_mm3=4.0, y_mm3=4.0, polar_mm4=10.66...)
    """
    total = AreaMoments()
    for (x0, y0, bulge), (x1, y1, _) in zip(loop, (*loop[1:], *loop[:1]), strict=True):
        cross = x0 * y1 - x1 * y0
        total = total.plus(
            AreaMoments(
                area_mm2=cross / 2.0,
                x_mm3=cross * (x0 + x1) / 6.0,
                y_mm3=cross * (y0 + y1) / 6.0,
                polar_mm4=cross * (x0 * x0 + x0 * x1 + x1 * x1 + y0 * y0 + y0 * y1 + y1 * y1) / 12.0,
            )
        )
        if bulge:
            total = total.plus(_segment((x0, y0), (x1, y1), bulge))
    return total if total.area_mm2 >= 0 else AreaMoments().plus(total, -1.0)


def _segment(start_mm: Point, end_mm: Point, bulge: float) -> AreaMoments:
    """Return what the arc adds to the chord: a circular segment, negative when it bulges inward."""
    chord_x, chord_y = end_mm[0] - start_mm[0], end_mm[1] - start_mm[1]
    chord_mm = hypot(chord_x, chord_y)
    angle = 4.0 * atan(abs(bulge))
    radius_mm = chord_mm / (2.0 * sin(angle / 2.0))
    sign = 1.0 if bulge > 0 else -1.0
    # the bulge lies to the right of the chord for a counter-clockwise arc
    out_x, out_y = sign * chord_y / chord_mm, sign * -chord_x / chord_mm
    toward_mm = radius_mm * cos(angle / 2.0)
    centre_x = (start_mm[0] + end_mm[0]) / 2.0 - toward_mm * out_x
    centre_y = (start_mm[1] + end_mm[1]) / 2.0 - toward_mm * out_y
    area_mm2 = radius_mm**2 / 2.0 * (angle - sin(angle))
    off_mm = (2.0 * radius_mm * sin(angle / 2.0)) ** 3 / (12.0 * area_mm2)
    half_mm, height_mm = radius_mm * sin(angle / 2.0), toward_mm
    about_centre = radius_mm**4 * angle / 4.0 - (half_mm * height_mm**3 / 2.0 + height_mm * half_mm**3 / 6.0)
    about_own = about_centre - area_mm2 * off_mm**2
    x_mm, y_mm = centre_x + off_mm * out_x, centre_y + off_mm * out_y
    return AreaMoments().plus(
        AreaMoments(
            area_mm2=area_mm2,
            x_mm3=area_mm2 * x_mm,
            y_mm3=area_mm2 * y_mm,
            polar_mm4=about_own + area_mm2 * (x_mm**2 + y_mm**2),
        ),
        sign,
    )


def circle_moments(centre_mm: Point, radius_mm: float) -> AreaMoments:
    """Return the moments of a disc."""
    area_mm2 = pi * radius_mm**2
    x_mm, y_mm = centre_mm
    return AreaMoments(
        area_mm2=area_mm2,
        x_mm3=area_mm2 * x_mm,
        y_mm3=area_mm2 * y_mm,
        polar_mm4=area_mm2 * (radius_mm**2 / 2.0 + x_mm**2 + y_mm**2),
    )


def pointer_moments(pointer: Pointer) -> AreaMoments:
    """Return the moments of a pointer's outline with its bore taken out.

    Raises
    ------
    DesignError
        If the pointer cannot be drawn.
    """
    shape = loop_moments(pointer_loop(pointer))
    return shape.plus(circle_moments((0.0, 0.0), pointer.bore_mm / 2.0), -1.0)


def mass_of(pointer: Pointer) -> Mass:
    """Return the mass of a pointer as drawn, with its boss and counterweight.

    Raises
    ------
    DesignError
        If the pointer cannot be drawn.
    """
    shape = pointer_moments(pointer)
    g_per_mm2 = pointer.density_kg_m3 * 1e-6 * pointer.thickness_mm
    boss_r_mm, bore_r_mm = pointer.boss_diameter_mm / 2.0, pointer.bore_mm / 2.0
    mass_g = shape.area_mm2 * g_per_mm2 + pointer.boss_mass_g + pointer.counterweight_g
    x_gmm = shape.x_mm3 * g_per_mm2
    y_gmm = shape.y_mm3 * g_per_mm2 - pointer.counterweight_g * pointer.counterweight_at_mm
    return Mass(
        mass_g=mass_g,
        centre_mm=(x_gmm / mass_g, y_gmm / mass_g),
        inertia_gmm2=(
            shape.polar_mm4 * g_per_mm2
            + pointer.boss_mass_g * (boss_r_mm**2 + bore_r_mm**2) / 2.0
            + pointer.counterweight_g * pointer.counterweight_at_mm**2
        ),
    )
