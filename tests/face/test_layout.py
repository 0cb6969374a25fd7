"""Faces as elements: what is drawn, on which operation, and exactly where."""

from __future__ import annotations

import math

import pytest

from gaugecore.drawing.elements import Circle, Line, Operation, Outline, Strokes
from gaugecore.drawing.ink import ink_of
from gaugecore.face.face import Legend, LimitLine, Marking, Numerals, Orientation, Sector
from gaugecore.face.layout import lay_out_face
from gaugecore.face.scale import LinearScale
from gaugecore.polar import xy_mm_to_dial
from tests.face.designs import FACES, FLAP, FUEL, RUDDER, SHAFT


def by_part(face: object) -> dict[str, object]:
    return {element.part: element for element in lay_out_face(face, name="f", title="F").elements}  # type: ignore[arg-type]


def middle(strokes: object) -> tuple[float, float]:
    assert isinstance(strokes, Strokes)
    xs, ys = zip(*(point for line in strokes.polylines for point in line), strict=True)
    return (min(xs) + max(xs)) / 2.0, (min(ys) + max(ys)) / 2.0


@pytest.mark.parametrize("name", ["rudder", "shaft"])
def test_every_numeral_is_centred_on_its_angle_and_radius(name: str) -> None:
    face = FACES[name]
    parts = by_part(face)
    numerals = {part: e for part, e in parts.items() if part.startswith("numerals.")}
    assert numerals
    for part, element in numerals.items():
        dial_deg, radius_mm = xy_mm_to_dial(*middle(element))
        mark = parts["graduations.major." + part.removeprefix("numerals.")]
        assert isinstance(mark, Line)
        mark_deg, _ = xy_mm_to_dial(*mark.start_mm)
        assert abs((dial_deg - mark_deg + 180.0) % 360.0 - 180.0) < 1e-9
        assert radius_mm == pytest.approx(face.numerals.radius_mm, abs=1e-9)  # type: ignore[union-attr]


def test_numerals_at_twelve_and_six_stand_on_the_axis() -> None:
    scale = LinearScale(low_value=0.0, high_value=20.0, low_deg=0.0, high_deg=360.0)
    parts = by_part(RUDDER.model_copy(update={"scale": scale}))
    for value in (0, 10):
        assert middle(parts[f"numerals.{value}"])[0] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("orientation", "value", "turn"),
    [
        (Orientation.UPRIGHT, 30, 0.0),
        (Orientation.TANGENTIAL, 30, 90.0),
        (Orientation.RADIAL, 30, 0.0),
        (Orientation.RADIAL, -30, 0.0),
        (Orientation.RADIAL, 0, -90.0),
    ],
)
def test_numerals_turn_as_asked(orientation: Orientation, value: int, turn: float) -> None:
    from gaugecore.face.ring_elements import turn_deg

    style = Numerals(radius_mm=26.0, height_mm=4.0, orientation=orientation)
    # the value stands at three times its figure in dial degrees
    assert turn_deg(style, 3.0 * value) == pytest.approx(turn)


def test_the_base_arc_joins_the_outer_edges_of_the_end_graduations() -> None:
    arc = by_part(RUDDER)["graduations.base_arc"]
    # the end marks are intermediate, 0.6 mm wide, at ±105° on a radius of 36 mm less half the arc's width
    half_deg = 57.29577951308232 * 0.3 / 35.8
    assert (arc.start_deg, arc.end_deg) == pytest.approx((-105.0 - half_deg, 105.0 + half_deg), abs=1e-4)  # type: ignore[attr-defined]
    assert arc.radius_mm + arc.width_mm / 2.0 == pytest.approx(36.0)  # type: ignore[attr-defined]


def test_the_disc_is_cut_last_and_everything_else_is_ink() -> None:
    elements = lay_out_face(RUDDER, name="f", title="F").elements
    cuts = [e.part for e in elements if e.operation is Operation.CUT]
    assert cuts == ["centre_hole", "fixing_holes.0", "fixing_holes.1", "outline"]
    guides = {e.part for e in elements if e.operation is Operation.GUIDE}
    assert guides == {"centre", "caption"}


def test_the_caption_stands_outside_the_cut_line() -> None:
    for face in FACES.values():
        drawing = lay_out_face(face, name="f", title="A rather long title of an instrument, all of it")
        caption = next(e for e in drawing.elements if e.part == "caption")
        ink = ink_of(caption)
        assert ink is not None
        assert ink.box.top_mm < -face.diameter_mm / 2.0
        assert ink.box.bottom_mm > drawing.box.bottom_mm


def test_a_sector_all_round_is_two_circles() -> None:
    scale = LinearScale(low_value=0.0, high_value=360.0, low_deg=0.0, high_deg=360.0)
    sector = Sector(low_value=0.0, high_value=360.0, inner_radius_mm=30, outer_radius_mm=31, colour="#00ff00")
    ring = by_part(RUDDER.model_copy(update={"scale": scale, "sectors": (sector,)}))["sectors.0"]
    assert isinstance(ring, Outline)
    assert len(ring.loops) == 2


def test_a_counter_clockwise_scale_draws_its_sectors_and_base_arc_too() -> None:
    scale = LinearScale(low_value=0.0, high_value=1.0, low_deg=60.0, high_deg=-60.0)
    ring = by_part(FUEL.model_copy(update={"scale": scale}))["sectors.0"]
    assert isinstance(ring, Outline)
    angles = [xy_mm_to_dial(x, y)[0] for x, y, _ in ring.loops[0]]
    assert min(angles) == pytest.approx(48.0)
    assert max(angles) == pytest.approx(60.0)


def test_detent_marks_carry_a_line_a_triangle_and_a_label() -> None:
    parts = by_part(FLAP)
    assert {p for p in parts if p.startswith("detent_marks.0")} == {
        "detent_marks.0",
        "detent_marks.0.triangle",
        "detent_marks.0.label",
    }
    # 7 of 25 along the way from 215° to 90° is 180°: straight down
    bar = parts["detent_marks.1"]
    assert isinstance(bar, Line)
    assert xy_mm_to_dial(*bar.start_mm) == pytest.approx((180.0, 26.5))
    triangle = parts["detent_marks.2.triangle"]
    assert isinstance(triangle, Outline)
    tip = triangle.loops[0][0]
    assert xy_mm_to_dial(*tip[:2]) == pytest.approx((115.0, 21.5))


def test_the_ground_is_printed_under_everything() -> None:
    first = lay_out_face(FLAP, name="f", title="F").elements[0]
    assert isinstance(first, Circle)
    assert (first.part, first.colour, first.filled) == ("ground", "#101010", True)


def test_a_legend_stands_where_it_is_put() -> None:
    face = SHAFT.model_copy(update={"legends": (Legend(text="SHAFT", x_mm=3.0, y_mm=-7.0),)})
    assert middle(by_part(face)["legends.0"]) == pytest.approx((3.0, -7.0), abs=1e-9)


@pytest.mark.parametrize(
    ("marking", "operation"), [(Marking.ENGRAVE, Operation.ENGRAVE), (Marking.SCORE, Operation.SCORE)]
)
def test_marks_can_be_engraved_or_scored_instead_of_printed(marking: Marking, operation: Operation) -> None:
    elements = lay_out_face(RUDDER.model_copy(update={"marking": marking}), name="f", title="F").elements
    assert {e.operation for e in elements} == {operation, Operation.CUT, Operation.GUIDE}
    assert "ground" not in {e.part for e in elements}
    sector = next(e for e in elements if e.part == "sectors.0")
    assert isinstance(sector, Outline)
    assert sector.filled == (marking is Marking.ENGRAVE)


@pytest.mark.parametrize("name", sorted(FACES))
def test_no_line_is_drawn_twice(name: str) -> None:
    lines = [
        (e.start_mm, e.end_mm)
        for e in lay_out_face(FACES[name], name="f", title="F").elements
        if isinstance(e, Line)
    ]
    for at, (start, end) in enumerate(lines):
        for other_start, other_end in lines[at + 1 :]:
            assert math.dist(start, other_start) + math.dist(end, other_end) > 1e-6


def test_a_limit_line_takes_the_place_of_the_graduation_it_covers() -> None:
    covers = LimitLine(value=0.0, inner_radius_mm=20.0, outer_radius_mm=39.0, colour="#b00f1a")
    beside = covers.model_copy(update={"inner_radius_mm": 38.5})
    value = "graduations.major.0"
    assert value not in by_part(RUDDER.model_copy(update={"limit_lines": (covers,)}))
    assert value in by_part(RUDDER.model_copy(update={"limit_lines": (beside,)}))


def test_what_is_burnt_has_no_ink_and_shows_black() -> None:
    burnt = by_part(FLAP.model_copy(update={"marking": Marking.ENGRAVE}))
    assert {e.colour for e in burnt.values() if e.operation is Operation.ENGRAVE} == {"#000000"}  # type: ignore[attr-defined]


def test_a_caption_leaves_out_what_is_seen_before_it_cuts_a_word() -> None:
    title = "Bilge pump flow in the hold"
    captions = {
        element.text
        for element in lay_out_face(FLAP, name="f", title=title).elements
        if isinstance(element, Strokes) and element.part == "caption"
    }
    assert captions == {f"{title} · face Ø 60 mm"}
