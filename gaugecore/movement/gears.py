"""Involute gears: one tooth form, drawn as closed loops that can be cut or printed.

Textbook geometry (from memory): flanks are involutes of the base circle r_b = r cos α, addendum one module,
dedendum 1.25 modules. Below the base circle the flank runs straight to the root, so a gear with fewer teeth
than undercut allows is drawn without the undercut and will bind; a finding says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, cos, degrees, hypot, pi, radians, sqrt, tan

from gaugecore.drawing.elements import Vertex
from gaugecore.errors import DesignError
from gaugecore.movement.train import GearPair
from gaugecore.polar import bulge_of, dial_to_xy_mm

#: Root clearance beyond the addendum, in modules; the usual quarter.
CLEARANCE = 0.25
#: Points along a flank; between them the involute of a tooth of module 1 leaves its chord by about 1 µm.
_FLANK_POINTS = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Gear:
    """A spur gear.

    Attributes
    ----------
    teeth : int
    module_mm : float
        Pitch diameter by teeth.
    pressure_angle_deg : float
    thinner_mm : float
        How much thinner than half the pitch a tooth is, along the pitch circle: its share of the slack.
    """

    teeth: int
    module_mm: float
    pressure_angle_deg: float = 20.0
    thinner_mm: float = 0.0

    @property
    def pitch_radius_mm(self) -> float:
        """Return where the gears roll on each other."""
        return self.teeth * self.module_mm / 2.0

    @property
    def base_radius_mm(self) -> float:
        """Return where the involute starts."""
        return self.pitch_radius_mm * cos(radians(self.pressure_angle_deg))

    @property
    def tip_radius_mm(self) -> float:
        """Return the outer radius."""
        return self.pitch_radius_mm + self.module_mm

    @property
    def root_radius_mm(self) -> float:
        """Return the radius at the bottom of the gaps."""
        return self.pitch_radius_mm - (1.0 + CLEARANCE) * self.module_mm

    def half_tooth_deg(self, radius_mm: float) -> float:
        """Return half the angle that a tooth takes at a radius; below the base circle as on it."""
        ratio = min(1.0, self.base_radius_mm / radius_mm)
        at_pitch = pi / (2.0 * self.teeth) - self.thinner_mm / (2.0 * self.pitch_radius_mm)
        return degrees(at_pitch + involute(radians(self.pressure_angle_deg)) - involute(acos(ratio)))


def involute(angle: float) -> float:
    """Return tan a - a, the involute of an angle in radians.

    Examples
    --------
    >>> round(involute(radians(20.0)), 7)   # tabulated in every gear handbook as 0.0149044
    0.0149044
    """
    return tan(angle) - angle


def gear_loop(
    gear: Gear, *, turned_deg: float = 0.0, centre_mm: tuple[float, float] = (0.0, 0.0)
) -> tuple[Vertex, ...]:
    """Return the outline of a gear, clockwise, with one tooth centred on a dial angle.

    Raises
    ------
    DesignError
        If the teeth would come to a point, or the gear has no body left.
    """
    tip_mm, root_mm = gear.tip_radius_mm, gear.root_radius_mm
    if root_mm <= 0.0 or gear.half_tooth_deg(tip_mm) <= 0.0:
        raise DesignError(
            "a gear's teeth come to a point before they are full height",
            where="train",
            found=f"{gear.teeth} teeth at {gear.pressure_angle_deg:g}°, thinned by {gear.thinner_mm:.2f} mm",
            accepted="more teeth, a smaller pressure angle or less slack",
        )
    start_mm = max(gear.base_radius_mm, root_mm)
    # even steps of roll put the points where the flank curves most
    rolls = [sqrt(max(0.0, (r / gear.base_radius_mm) ** 2 - 1.0)) for r in (start_mm, tip_mm)]
    flank_mm = [
        gear.base_radius_mm * hypot(1.0, rolls[0] + (rolls[1] - rolls[0]) * i / (_FLANK_POINTS - 1))
        for i in range(_FLANK_POINTS)
    ]
    if root_mm < start_mm:
        flank_mm.insert(0, root_mm)
    pitch_deg = 360.0 / gear.teeth
    root_deg, tip_deg = gear.half_tooth_deg(flank_mm[0]), gear.half_tooth_deg(tip_mm)
    loop: list[Vertex] = []
    for tooth in range(gear.teeth):
        middle_deg = turned_deg + tooth * pitch_deg
        for radius_mm in flank_mm:
            bulge = bulge_of(2.0 * tip_deg) if radius_mm is flank_mm[-1] else 0.0
            at_deg = middle_deg - gear.half_tooth_deg(radius_mm)
            loop.append((*dial_to_xy_mm(at_deg, radius_mm, centre_mm), bulge))
        for radius_mm in reversed(flank_mm):
            bulge = bulge_of(pitch_deg - 2.0 * root_deg) if radius_mm is flank_mm[0] else 0.0
            at_deg = middle_deg + gear.half_tooth_deg(radius_mm)
            loop.append((*dial_to_xy_mm(at_deg, radius_mm, centre_mm), bulge))
    return tuple(loop)


def gears_of(train: GearPair) -> tuple[Gear, Gear]:
    """Return the movement's and the pointer's gear, thinned so that they have the slack the train states.

    Raises
    ------
    DesignError
        If the teeth are not chosen, or the slack is more than the teeth can give.
    """
    if train.movement_teeth is None or train.pointer_teeth is None:
        raise DesignError(
            "the gears cannot be drawn before their teeth are chosen",
            where="train.movement_teeth",
            accepted="a number of teeth for both gears",
        )
    slack_mm = radians(train.slack_deg) * train.pointer_teeth * train.module_mm / 2.0
    most_mm = 0.25 * pi * train.module_mm
    if slack_mm > most_mm:
        raise DesignError(
            "the slack is more than the teeth can give",
            where="train.slack_deg",
            found=f"{train.slack_deg:g}°, {slack_mm:.2f} mm at the pitch circle",
            accepted=f"at most {degrees(2.0 * most_mm / (train.pointer_teeth * train.module_mm)):.2f}°",
        )

    def gear(teeth: int) -> Gear:
        return Gear(
            teeth=teeth,
            module_mm=train.module_mm,
            pressure_angle_deg=train.pressure_angle_deg,
            thinner_mm=slack_mm / 2.0,
        )

    return gear(train.movement_teeth), gear(train.pointer_teeth)


def centre_distance_mm(train: GearPair) -> float:
    """Return the distance between the shafts of two gears in mesh.

    With an idler it is from the movement's shaft to the idler's; the idler has as many teeth as the pointer's
    gear, so that from the idler to the pointer is one pitch diameter of that.
    """
    driver, driven = gears_of(train)
    return driver.pitch_radius_mm + driven.pitch_radius_mm
