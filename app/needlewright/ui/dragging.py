"""What becomes of a thing on the dial when it is dragged: from a place of the mouse to an edit.

Pure: an instrument, what was gripped and where, where it went; out comes the field to change and its
value. Values snap to what people would type, and less coarsely when asked to be fine.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from gaugecore.errors import NeedlewrightError
from gaugecore.face.face import Face, SecondScale
from gaugecore.face.scale import angle_deg, value_at, value_range
from gaugecore.panel.document import Instrument
from gaugecore.panel.edit import Place
from gaugecore.polar import Point, arc_length_mm, xy_mm_to_dial
from needlewright.ui.translation import translate

_SNAP_MM, _FINE_MM = 0.5, 0.05
_SNAP_DEG, _FINE_DEG = 5.0, 0.5
#: Within so many millimetres of an edge, the edge is meant.
_EDGE_MM = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """A field of the instrument, its new value, and what the step is called."""

    place: Place
    value: Any
    name: str


Grip = Callable[[Point, bool], Edit | None]
"""From where the mouse is, in mm, and whether to be fine, to the edit; None when nothing can follow."""


def grip_on(instrument: Instrument, part: str, at_mm: Point) -> Grip | None:
    """Return what follows the mouse when a part of the drawing is gripped, None when it cannot be dragged.

    Parameters
    ----------
    instrument : Instrument
        As it is before the drag.
    part : str
        The part of the drawing: ``legends.0``, ``graduations.major.30``, ``outline``.
    at_mm : tuple of float
        Where it was gripped.
    """
    face = instrument.face
    kind, _, rest = part.partition(".")
    match kind:
        case "legends" if face.legends[_index(rest)].arc_radius_mm is not None:
            return _about_the_pivot(
                face.legends[_index(rest)],
                ("face", kind, _index(rest)),
                at_mm,
                ("turn_deg", "arc_radius_mm"),
                translate("dragging", "legend"),
            )
        case "legends" | "apertures" | "icons":
            return _thing(face, kind, _index(rest), at_mm)
        case "index_triangles":
            return _about_the_pivot(
                face.index_triangles[_index(rest)],
                ("face", kind, _index(rest)),
                at_mm,
                ("dial_deg", "radius_mm"),
                translate("dragging", "index triangle"),
            )
        case "lubber_line" if face.lubber_line is not None:
            return _about_the_pivot(
                face.lubber_line,
                ("face", kind),
                at_mm,
                ("dial_deg",),
                translate("dragging", "lubber line"),
            )
        case "limit_lines":
            line = translate("dragging", "limit line {0}").format(_index(rest) + 1)
            return _value(face, ("face", kind, _index(rest), "value"), line)
        case "second" if face.second is not None:
            return _second(face.second, rest, at_mm)
        case "sectors":
            return _sector(face, _index(rest), at_mm)
        case "detent_marks":
            return _detent(face, _index(rest))
        case "numerals" if face.numerals is not None:
            return _radius(
                ("face", "numerals", "radius_mm"),
                face.numerals.radius_mm,
                at_mm,
                translate("dragging", "numerals"),
            )
        case "graduations":
            return _arc_end(face, rest) or _radius(
                ("face", "graduations", "outer_radius_mm"),
                face.graduations.outer_radius_mm,
                at_mm,
                translate("dragging", "graduations"),
            )
        case "outline":
            return _diameter(("face", "diameter_mm"), translate("dragging", "face diameter"))
        case "centre_hole":
            return _diameter(("face", "centre_hole_mm"), translate("dragging", "centre hole"))
        case "fixing_holes":
            return _holes(face, at_mm)
    return None


def _index(rest: str) -> int:
    return int(rest.split(".")[0])


def _thing(face: Face, kind: str, index: int, at_mm: Point) -> Grip:
    """Return the grip on a thing that has its middle somewhere on the sheet."""
    thing = getattr(face, kind)[index]
    off = (thing.x_mm - at_mm[0], thing.y_mm - at_mm[1])
    said = {
        "legends": translate("dragging", "legend to {0:g}, {1:g} mm"),
        "apertures": translate("dragging", "aperture to {0:g}, {1:g} mm"),
        "icons": translate("dragging", "icon to {0:g}, {1:g} mm"),
    }[kind]

    def follow(to_mm: Point, fine: bool) -> Edit:
        grain = _FINE_MM if fine else _SNAP_MM
        x_mm, y_mm = _snapped(to_mm[0] + off[0], grain), _snapped(to_mm[1] + off[1], grain)
        moved = thing.model_copy(update={"x_mm": x_mm, "y_mm": y_mm})
        return Edit(place=("face", kind, index), value=moved, name=said.format(x_mm, y_mm))

    return follow


def _about_the_pivot(
    thing: BaseModel, place: Place, at_mm: Point, fields: tuple[str, ...], what: str
) -> Grip:
    """Return the grip on a thing that stands at a dial angle, and a radius if it has that field."""
    at_deg, at_radius_mm = xy_mm_to_dial(*at_mm)

    def follow(to_mm: Point, fine: bool) -> Edit:
        to_deg, to_radius_mm = xy_mm_to_dial(*to_mm)
        away_deg = (to_deg - at_deg + 180.0) % 360.0 - 180.0  # the short way, also across twelve o'clock
        grain_deg = _FINE_DEG if fine else _SNAP_DEG
        moved = {fields[0]: _snapped(getattr(thing, fields[0]) + away_deg, grain_deg)}
        if len(fields) > 1:
            radius_mm = getattr(thing, fields[1]) + to_radius_mm - at_radius_mm
            moved[fields[1]] = max(_SNAP_MM, _snapped(radius_mm, _FINE_MM if fine else _SNAP_MM))
        said = translate("dragging", "{0} to {1:g}°").format(what, moved[fields[0]])
        return Edit(place=place, value=thing.model_copy(update=moved), name=said)

    return follow


def _second(second: SecondScale, rest: str, at_mm: Point) -> Grip | None:
    """Return the grip on the ring or the numerals of the second scale."""
    if rest.startswith("numerals") and second.numerals is not None:
        place: Place = ("face", "second", "numerals", "radius_mm")
        return _radius(
            place, second.numerals.radius_mm, at_mm, translate("dragging", "numerals of the second scale")
        )
    if rest.startswith("graduations"):
        place = ("face", "second", "graduations", "outer_radius_mm")
        radius_mm = second.graduations.outer_radius_mm
        return _radius(place, radius_mm, at_mm, translate("dragging", "graduations of the second scale"))
    return None


def _radius(place: Place, radius_mm: float, at_mm: Point, what: str) -> Grip:
    off_mm = radius_mm - math.hypot(*at_mm)

    def follow(to_mm: Point, fine: bool) -> Edit | None:
        moved_mm = _snapped(math.hypot(*to_mm) + off_mm, _FINE_MM if fine else _SNAP_MM)
        said = translate("dragging", "{0} at {1:g} mm").format(what, moved_mm)
        return Edit(place=place, value=moved_mm, name=said) if moved_mm > 0 else None

    return follow


def _diameter(place: Place, what: str) -> Grip:
    def follow(to_mm: Point, fine: bool) -> Edit | None:
        size_mm = _snapped(2.0 * math.hypot(*to_mm), _FINE_MM if fine else _SNAP_MM)
        said = translate("dragging", "{0} to {1:g} mm").format(what, size_mm)
        return Edit(place=place, value=size_mm, name=said) if size_mm > 0 else None

    return follow


def _holes(face: Face, at_mm: Point) -> Grip | None:
    holes = face.fixing_holes
    if holes is None:
        return None
    gripped_deg = xy_mm_to_dial(*at_mm)[0]

    def follow(to_mm: Point, fine: bool) -> Edit | None:
        assert holes is not None
        to_deg, radius_mm = xy_mm_to_dial(*to_mm)
        pitch_mm = _snapped(2.0 * radius_mm, _FINE_MM if fine else _SNAP_MM)
        first_deg = _snapped(holes.first_deg + to_deg - gripped_deg, _FINE_DEG if fine else _SNAP_DEG) % 360.0
        if pitch_mm <= 0:
            return None
        moved = holes.model_copy(update={"pitch_circle_mm": pitch_mm, "first_deg": first_deg})
        return Edit(
            place=("face", "fixing_holes"),
            value=moved,
            name=translate("dragging", "holes on {0:g} mm, from {1:g}°").format(pitch_mm, first_deg),
        )

    return follow


def _sector(face: Face, index: int, at_mm: Point) -> Grip:
    sector = face.sectors[index]
    radius_mm = math.hypot(*at_mm)
    ends = {
        name: abs(_along_mm(face, value, at_mm))
        for name, value in (("low_value", sector.low_value), ("high_value", sector.high_value))
    }
    nearest = min(ends, key=lambda name: ends[name])
    if ends[nearest] <= _EDGE_MM:
        end = translate("dragging", "sector {0}").format(index + 1)
        return _value(face, ("face", "sectors", index, nearest), end)
    inward = radius_mm - sector.inner_radius_mm < sector.outer_radius_mm - radius_mm
    name = "inner_radius_mm" if inward else "outer_radius_mm"
    edge = translate("dragging", "sector {0} edge").format(index + 1)
    return _radius(("face", "sectors", index, name), getattr(sector, name), at_mm, edge)


def _detent(face: Face, index: int) -> Grip:
    return _value(
        face,
        ("face", "detent_marks", index, "value"),
        translate("dragging", "detent mark {0}").format(index + 1),
    )


def _value(face: Face, place: Place, what: str) -> Grip:
    ring = face.graduations
    finest = ring.minor_step or ring.intermediate_step or ring.major_step

    def follow(to_mm: Point, fine: bool) -> Edit | None:
        value = _value_under(face, to_mm)
        if value is None:
            return None
        low, high = value_range(face.scale)
        snapped = min(max(_snapped(value, finest / 10.0 if fine else finest), low), high)
        return Edit(
            place=place, value=snapped, name=translate("dragging", "{0} to {1:g}").format(what, snapped)
        )

    return follow


def _arc_end(face: Face, rest: str) -> Grip | None:
    """Return the grip on an end of the scale, None when the graduation is not at one that can be moved."""
    try:
        value = float(rest.partition(".")[2])
    except ValueError:
        return None
    low, high = value_range(face.scale)
    name = "low_deg" if value == low else "high_deg" if value == high else ""
    if not name or name not in type(face.scale).model_fields:
        return None
    before_deg = float(getattr(face.scale, name))

    def follow(to_mm: Point, fine: bool) -> Edit:
        to_deg = xy_mm_to_dial(*to_mm)[0]
        # the mouse's angle starts anew at twelve o'clock, the arc does not
        to_deg += 360.0 * round((before_deg - to_deg) / 360.0)
        moved_deg = _snapped(to_deg, _FINE_DEG if fine else _SNAP_DEG)
        return Edit(
            place=("face", "scale", name),
            value=moved_deg,
            name=translate("dragging", "scale end to {0:g}°").format(moved_deg),
        )

    return follow


def _value_under(face: Face, at_mm: Point) -> float | None:
    """Return the value of the scale at a point, the nearest end beside the arc."""
    deg = xy_mm_to_dial(*at_mm)[0]
    for turns in (0, -1, 1):
        try:
            return value_at(face.scale, deg + 360.0 * turns)
        except NeedlewrightError:
            continue
    low, high = value_range(face.scale)
    return low if abs(_along_mm(face, low, at_mm)) < abs(_along_mm(face, high, at_mm)) else high


def _along_mm(face: Face, value: float, at_mm: Point) -> float:
    """Return how far along the circle a point is from a value of the scale."""
    deg, radius_mm = xy_mm_to_dial(*at_mm)
    low, high = value_range(face.scale)
    away_deg = (deg - angle_deg(face.scale, min(max(value, low), high)) + 180.0) % 360.0 - 180.0
    return math.copysign(arc_length_mm(radius_mm, away_deg), away_deg)


def _snapped(number: float, grain: float) -> float:
    return round(round(number / grain) * grain, 6)
