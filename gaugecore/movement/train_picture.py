"""The train as a picture, at any angle of the movement: what the window shows and turns."""

from __future__ import annotations

from gaugecore.drawing.elements import AnyElement, Box, Circle, Drawing, Line, Operation, Outline
from gaugecore.movement.gears import centre_distance_mm, gear_loop, gears_of
from gaugecore.movement.train import CrankLink, Direct, GearPair, pointer_deg
from gaugecore.polar import Point, dial_to_xy_mm

_LINE_MM = 0.3
_ROOM_MM = 2.0

_Picture = tuple[list[AnyElement], float, float, float]
"""Elements, and how far the picture reaches to the left, to the right, and up or down."""


def _circle(at_mm: Point, radius_mm: float, part: str) -> Circle:
    return Circle(
        operation=Operation.PRINT, part=part, width_mm=_LINE_MM, centre_mm=at_mm, radius_mm=radius_mm
    )


def _line(start_mm: Point, end_mm: Point, part: str) -> Line:
    return Line(operation=Operation.PRINT, part=part, width_mm=_LINE_MM, start_mm=start_mm, end_mm=end_mm)


def picture_train(train: Direct | GearPair | CrankLink, movement_deg: float = 0.0) -> Drawing:
    """Return a picture of a train, the pointer's shaft at the origin, the movement's to the right.

    Parameters
    ----------
    train : Direct, GearPair or CrankLink
    movement_deg : float
        How far the movement has turned from the middle of its travel, clockwise.

    Notes
    -----
    Gears whose teeth are not chosen are shown by their pitch circles. A link that does not reach leaves the
    arm out.
    """
    turned_deg = pointer_deg(train, movement_deg)
    match train:
        case Direct():
            elements, left_mm, right_mm, half_mm = _shaft((0.0, 0.0), turned_deg, 10.0), 12.0, 12.0, 12.0
        case GearPair():
            elements, left_mm, right_mm, half_mm = _gears(train, movement_deg, turned_deg)
        case CrankLink():
            elements, left_mm, right_mm, half_mm = _link(train, movement_deg)
    return Drawing(
        name="train",
        title="train",
        box=Box(left_mm=-left_mm, bottom_mm=-half_mm, right_mm=right_mm, top_mm=half_mm),
        elements=tuple(elements),
    )


def _shaft(at_mm: Point, dial_deg: float | None, arm_mm: float) -> list[AnyElement]:
    shaft: list[AnyElement] = [_circle(at_mm, 1.5, "train.shaft")]
    if dial_deg is not None:
        end_mm = dial_to_xy_mm(dial_deg, arm_mm, at_mm)
        shaft.append(_line(at_mm, end_mm, "train.arm"))
    return shaft


def _gears(train: GearPair, movement_deg: float, turned_deg: float | None) -> _Picture:
    if train.movement_teeth is None:
        driver_mm, driven_mm = 10.0 * train.ratio, 10.0
        at_mm = (driver_mm + driven_mm, 0.0)
        circles: list[AnyElement] = [
            _circle((0.0, 0.0), driven_mm, "train.pitch"),
            _circle(at_mm, driver_mm, "train.pitch"),
        ]
        shafts = [*_shaft((0.0, 0.0), turned_deg, driven_mm), *_shaft(at_mm, movement_deg, driver_mm)]
        half_mm = max(driver_mm, driven_mm) + _ROOM_MM
        return [*circles, *shafts], driven_mm + _ROOM_MM, at_mm[0] + driver_mm + _ROOM_MM, half_mm
    driver, driven = gears_of(train)
    # a tooth of one stands in a gap of the next where they meet
    half_driven_deg = 180.0 / driven.teeth
    pointer_at_mm, driver_at_mm = (0.0, 0.0), (centre_distance_mm(train), 0.0)
    loops = [gear_loop(driven, turned_deg=90.0 + half_driven_deg + (turned_deg or 0.0))]
    if train.idler:
        idler_at_mm = (2.0 * driven.pitch_radius_mm, 0.0)
        driver_at_mm = (idler_at_mm[0] + centre_distance_mm(train), 0.0)
        idler_deg = -90.0 - (turned_deg or 0.0)
        loops.append(gear_loop(driven, turned_deg=idler_deg, centre_mm=idler_at_mm))
        # the side of the idler that meets the driver: a tooth or a gap, as its teeth are even or odd
        gap_deg = (90.0 - idler_deg) % (360.0 / driven.teeth) * driven.teeth / driver.teeth
        driver_deg = -90.0 + gap_deg + 180.0 / driver.teeth
    else:
        driver_deg = -90.0 + movement_deg
    loops.append(gear_loop(driver, turned_deg=driver_deg, centre_mm=driver_at_mm))
    elements: list[AnyElement] = [
        Outline(operation=Operation.PRINT, part="train.gear", width_mm=_LINE_MM, loops=(loop,))
        for loop in loops
    ]
    elements += _shaft(pointer_at_mm, turned_deg, driven.root_radius_mm)
    elements += _shaft(driver_at_mm, movement_deg, driver.root_radius_mm)
    half_mm = max(driver.tip_radius_mm, driven.tip_radius_mm) + _ROOM_MM
    right_mm = driver_at_mm[0] + driver.tip_radius_mm + _ROOM_MM
    return elements, driven.tip_radius_mm + _ROOM_MM, right_mm, half_mm


def _link(train: CrankLink, movement_deg: float) -> _Picture:
    crank_deg = train.crank_deg + movement_deg
    arm_deg = train.linkage.arm_deg(crank_deg)
    at_mm = (train.ground_mm, 0.0)
    # the line of shafts runs from the movement, on the right, to the left: dial angle 270
    crank_end_mm = dial_to_xy_mm(270.0 + crank_deg, train.crank_mm, at_mm)
    elements: list[AnyElement] = [*_shaft(at_mm, 270.0 + crank_deg, train.crank_mm)]
    if arm_deg is None:
        elements += _shaft((0.0, 0.0), None, 0.0)
    else:
        arm_end_mm = dial_to_xy_mm(270.0 + arm_deg, train.arm_mm)
        elements += _shaft((0.0, 0.0), 270.0 + arm_deg, train.arm_mm)
        elements.append(_line(crank_end_mm, arm_end_mm, "train.link"))
    # room for a whole turn, so that the picture stands still while it is turned
    half_mm = max(train.crank_mm, train.arm_mm) + _ROOM_MM
    return elements, train.arm_mm + _ROOM_MM, train.ground_mm + train.crank_mm + _ROOM_MM, half_mm
