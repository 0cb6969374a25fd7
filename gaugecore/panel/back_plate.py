"""The back plate: the movement's opening and screws, with the holes that the other plates have too."""

from __future__ import annotations

from itertools import combinations

from gaugecore.drawing.elements import Drawing, Vertex
from gaugecore.drawing.plate import Hole, cut_loop, round_plate
from gaugecore.drawing.shapes import polygon_of
from gaugecore.errors import DesignError
from gaugecore.face.holes import fixing_holes_of
from gaugecore.face.rings import frame_holes, outer_mm
from gaugecore.movement.body import Body, body_for
from gaugecore.movement.gears import centre_distance_mm
from gaugecore.movement.train import CrankLink, Direct, GearPair
from gaugecore.panel.document import Instrument
from gaugecore.panel.making import BackPlate
from gaugecore.polar import Point, dial_to_xy_mm, turned

#: Cut lines closer than this may burn through to each other: a laser cutting service's guide.
_LEAST_WEB_MM = 0.5


def draw_back_plate(instrument: Instrument, plate: BackPlate, *, name: str, title: str) -> Drawing:
    """Return the back plate of an instrument, pivot at the origin, seen from the face.

    Raises
    ------
    DesignError
        If the gears' teeth are not chosen, or an opening runs into another or off the plate.
    """
    face, making = instrument.face, instrument.making
    body = plate.body or body_for(instrument.movement)
    shaft = shaft_mm(instrument, plate)
    diameter_mm = outer_mm(face, making.frame)
    holes = [*fixing_holes_of(face.fixing_holes), *frame_holes(making.frame)]
    holes += _screws(body, plate, shaft)
    if not isinstance(instrument.train, Direct) and plate.bush_mm:
        holes.append(Hole("bush", (0.0, 0.0), plate.bush_mm))
    openings = []
    if body.diameter_mm:
        middle = _from_shaft((body.x_mm, body.y_mm), plate, shaft)
        holes.append(Hole("movement.opening", middle, body.diameter_mm + 2.0 * plate.clearance_mm))
    else:
        openings.append(cut_loop("movement.opening", _rectangle(body, plate, shaft)))
    drawn = round_plate(
        name=name,
        title=title,
        words=f"back plate Ø {diameter_mm:g} mm for {body.name or 'the movement'}, typical: measure yours",
        diameter_mm=diameter_mm,
        holes=holes,
        cuts=openings,
    )
    _check_webs(drawn)
    return drawn


def shaft_mm(instrument: Instrument, plate: BackPlate) -> Point:
    """Return where the movement's shaft goes through the plate, from the pivot."""
    train = instrument.train
    if isinstance(train, GearPair):
        distance_mm = centre_distance_mm(train)
    elif isinstance(train, CrankLink):
        distance_mm = train.ground_mm
    else:
        return 0.0, 0.0
    return dial_to_xy_mm(plate.shaft_towards_deg, distance_mm)


def _from_shaft(point: Point, plate: BackPlate, shaft: Point) -> Point:
    x_mm, y_mm = turned(point, plate.turn_deg)
    return x_mm + shaft[0], y_mm + shaft[1]


def _screws(body: Body, plate: BackPlate, shaft: Point) -> list[Hole]:
    return [
        Hole(f"movement.screws.{n}", _from_shaft((s.x_mm, s.y_mm), plate, shaft), s.diameter_mm)
        for n, s in enumerate(body.screws)
    ]


def _rectangle(body: Body, plate: BackPlate, shaft: Point) -> tuple[Vertex, ...]:
    half_x, half_y = body.width_mm / 2.0 + plate.clearance_mm, body.height_mm / 2.0 + plate.clearance_mm
    corners = ((-half_x, half_y), (half_x, half_y), (half_x, -half_y), (-half_x, -half_y))
    return tuple((*_from_shaft((x + body.x_mm, y + body.y_mm), plate, shaft), 0.0) for x, y in corners)


def _check_webs(drawn: Drawing) -> None:
    """Refuse openings that run into one another or off the plate."""
    from gaugecore.drawing.kerf import cut_loops

    loops = [(part, polygon_of(loop)) for _, part, loop in cut_loops(drawn)]
    for (part, area), (other, other_area) in combinations(loops, 2):
        apart_mm = area.exterior.distance(other_area.exterior)
        overlaps = other != "outline" and area.intersects(other_area)
        outside = other == "outline" and not other_area.contains(area)
        if overlaps or outside or apart_mm < _LEAST_WEB_MM:
            raise DesignError(
                f"{part} and {other} leave no material between them",
                where="making.back_plate",
                found="they overlap" if overlaps or outside else f"{apart_mm:.2f} mm",
                accepted=f"at least {_LEAST_WEB_MM:g} mm: turn the movement, move the screws or "
                "widen the frame",
            )
