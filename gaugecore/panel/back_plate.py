"""The back plate: the movement's opening and screws, with the holes that the other plates have too."""

from __future__ import annotations

from itertools import combinations
from typing import Any, Final, NamedTuple

from gaugecore.drawing.elements import Drawing, Vertex
from gaugecore.drawing.kerf import cut_loops
from gaugecore.drawing.plate import Hole, cut_loop, round_plate
from gaugecore.drawing.shapes import polygon_of
from gaugecore.errors import DesignError
from gaugecore.face.holes import fixing_holes_of
from gaugecore.face.rings import frame_holes, outer_mm
from gaugecore.movement.body import Body, body_for
from gaugecore.movement.gears import centre_distance_mm, gears_of
from gaugecore.movement.train import CrankLink, Direct, GearPair, Train
from gaugecore.panel.document import Instrument
from gaugecore.panel.making import BackPlate
from gaugecore.polar import Point, dial_to_xy_mm, turned

#: Cut lines closer than this may burn through to each other: a laser cutting service's guide.
_LEAST_WEB_MM: Final = 0.5
_QUARTERS_DEG: Final = (0.0, 90.0, 180.0, 270.0)
_DUST_MM: Final = 1e-6


def draw_back_plate(instrument: Instrument, plate: BackPlate, *, name: str, title: str) -> Drawing:
    """Return the back plate of an instrument, pivot at the origin, seen from the face.

    Raises
    ------
    DesignError
        If the gears' teeth are not chosen, or an opening runs into another or off the plate.
    """
    turns_deg = _QUARTERS_DEG if plate.turn_deg is None else (plate.turn_deg,)
    best: tuple[float, DesignError | None, Drawing] | None = None
    for turn_deg in turns_deg:
        drawn = _drawn(instrument, plate, turn_deg, name=name, title=title)
        web_mm, fault = _thinnest_web(drawn)
        if best is None or web_mm > best[0] + _DUST_MM:
            best = web_mm, fault, drawn
    assert best is not None  # there is always a turn
    if best[1] is not None:
        raise best[1]
    return best[2]


def _drawn(instrument: Instrument, plate: BackPlate, turn_deg: float, *, name: str, title: str) -> Drawing:
    face, making = instrument.face, instrument.making
    body = plate.body or body_for(instrument.movement)
    at = _Seat(shaft_mm(instrument, plate), turn_deg)
    diameter_mm = outer_mm(face, making.frame)
    holes = [*fixing_holes_of(face.fixing_holes), *frame_holes(making.frame)]
    holes += [
        Hole(f"movement.screws.{n}", at.to(s.x_mm, s.y_mm), s.diameter_mm) for n, s in enumerate(body.screws)
    ]
    if not isinstance(instrument.train, Direct) and plate.bush_mm:
        holes.append(Hole("bush", (0.0, 0.0), plate.bush_mm))
        idler_mm = _idler_mm(instrument.train)
        if idler_mm:
            holes.append(Hole("idler", dial_to_xy_mm(plate.shaft_towards_deg, idler_mm), plate.bush_mm))
    openings = []
    if body.diameter_mm:
        wide_mm = body.diameter_mm + 2.0 * plate.clearance_mm
        holes.append(Hole("movement.opening", at.to(body.x_mm, body.y_mm), wide_mm))
    else:
        openings.append(cut_loop("movement.opening", _rectangle(body, plate.clearance_mm, at)))
    return round_plate(
        name=name,
        title=title,
        words=f"back plate Ø {diameter_mm:g} mm",
        # a body that the user gives is one they have measured
        warning="movement typical, measure yours" if plate.body is None else "",
        diameter_mm=diameter_mm,
        holes=holes,
        cuts=openings,
    )


def shaft_mm(instrument: Instrument, plate: BackPlate) -> Point:
    """Return where the movement's shaft goes through the plate, from the pivot."""
    train = instrument.train
    if isinstance(train, GearPair):
        # an idler stands between the two, on one line with them
        distance_mm = _idler_mm(train) + centre_distance_mm(train)
    elif isinstance(train, CrankLink):
        distance_mm = train.ground_mm
    else:
        return 0.0, 0.0
    return dial_to_xy_mm(plate.shaft_towards_deg, distance_mm)


def _idler_mm(train: Train) -> float:
    """Return how far an idler's shaft is from the pointer's; 0 where there is none."""
    if not isinstance(train, GearPair) or not train.idler:
        return 0.0
    # it has as many teeth as the pointer's gear
    _, driven = gears_of(train)
    return 2.0 * driven.pitch_radius_mm


class _Seat(NamedTuple):
    """Where a movement's shaft is, and how far its body is turned about it."""

    shaft_mm: Point
    turn_deg: float

    def to(self, x_mm: float, y_mm: float) -> Point:
        """Return the place of a point given from the shaft."""
        x_mm, y_mm = turned((x_mm, y_mm), self.turn_deg)
        return x_mm + self.shaft_mm[0], y_mm + self.shaft_mm[1]


def _rectangle(body: Body, clearance_mm: float, at: _Seat) -> tuple[Vertex, ...]:
    half_x, half_y = body.width_mm / 2.0 + clearance_mm, body.height_mm / 2.0 + clearance_mm
    corners = ((-half_x, half_y), (half_x, half_y), (half_x, -half_y), (-half_x, -half_y))
    return tuple((*at.to(x + body.x_mm, y + body.y_mm), 0.0) for x, y in corners)


def _thinnest_web(drawn: Drawing) -> tuple[float, DesignError | None]:
    """Return the least material between openings and edge, negative where they meet, and what it breaks."""
    loops = [(part, polygon_of(loop)) for _, part, loop in cut_loops(drawn)]
    webs = [
        (_web_mm(area, other_area, outside=other == "outline"), part, other)
        for (part, area), (other, other_area) in combinations(loops, 2)
    ]
    # the outline comes last, so an opening is always named first
    web_mm, part, other = min(webs)
    if web_mm >= _LEAST_WEB_MM:
        return web_mm, None
    return web_mm, DesignError(
        f"{part} and {other} leave too little material between them",
        where="making.back_plate",
        found="they overlap" if web_mm < 0.0 else f"{web_mm:.2f} mm",
        accepted=f"at least {_LEAST_WEB_MM:g} mm: turn the movement, move the screws or widen the frame",
    )


def _web_mm(area: Any, other: Any, *, outside: bool) -> float:
    if outside:
        beyond = area.difference(other)
        return float(area.exterior.distance(other.exterior) if beyond.is_empty else -beyond.area)
    return float(-area.intersection(other).area if area.intersects(other) else area.distance(other))
