"""Plates that belong together: their holes agree, and what cannot be made is said.

The flanges of hybrid steppers (pilot 22 mm, screws 23 and 31 mm apart): a published table of NEMA ICS 16.
Opening sizes of servos are typical figures, not checked against any part.
"""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pytest
from shapely import Point, box

from gaugecore.drawing.elements import Circle, Drawing, Operation, Outline, Strokes
from gaugecore.drawing.ink import ink_of
from gaugecore.drawing.kerf import cut_loops
from gaugecore.drawing.shapes import polygon_of
from gaugecore.drawing.stock import Stock
from gaugecore.errors import DesignError
from gaugecore.face.face import Aperture, FixingHoles, Marking
from gaugecore.face.light import Glow, Lamps, LightLayer, MaskKind
from gaugecore.face.rings import BezelRing, Frame, SpacerRing
from gaugecore.movement.body import BODIES, Body, Screw
from gaugecore.movement.library import GENERIC
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.train import GearPair
from gaugecore.panel.document import Instrument, Panel, RawInput
from gaugecore.panel.making import BackPlate, Making
from gaugecore.panel.making_checks import check_making
from gaugecore.panel.plates import plates_of, stocked_plates_of
from gaugecore.panel.sheets import sheets_of
from tests.face.designs import RUDDER

FRAME = Frame(
    diameter_mm=94.0,
    holes=FixingHoles(count=4, pitch_circle_mm=87.0, diameter_mm=2.4, first_deg=45.0),
)
EVERYTHING = Making(
    frame=FRAME,
    back_plate=BackPlate(),
    spacer=SpacerRing(),
    bezel_ring=BezelRing(),
    light=LightLayer(),
)
RUDDER_DIAL = Instrument(
    id="rudder",
    title="Rudder angle",
    raw=RawInput(low_value=-35.0, high_value=35.0),
    face=RUDDER,
    pointer=Pointer(length_mm=31.0, tail_mm=10.0),
    making=EVERYTHING,
)


def dial(**changes: Any) -> Instrument:
    return RUDDER_DIAL.model_copy(update=changes)


def making(**changes: Any) -> Making:
    return EVERYTHING.model_copy(update=changes)


def plates(instrument: Instrument) -> dict[str, Drawing]:
    return {drawn.name.removeprefix(f"{instrument.id}-"): drawn for drawn in plates_of(instrument)}


def holes(drawn: Drawing, part: str) -> set[tuple[float, float, float]]:
    """Return place and diameter of the round cuts whose part begins like this, to a nanometre."""
    return {
        (*(round(c, 6) + 0.0 for c in e.centre_mm), round(2.0 * e.radius_mm, 6))
        for e in drawn.elements
        if isinstance(e, Circle) and e.operation is Operation.CUT and e.part.startswith(part)
    }


def test_only_what_is_asked_for_is_drawn() -> None:
    assert set(plates(dial(making=Making()))) == {"face", "pointer"}
    assert list(plates(RUDDER_DIAL)) == [
        "bezel-ring",
        "pointer",
        "face",
        "light-mask",
        "diffuser",
        "lamps",
        "spacer",
        "back-plate",
    ]


def test_holes_and_centres_agree_across_plates() -> None:
    made = plates(RUDDER_DIAL)
    fixing = holes(made["face"], "fixing_holes")
    assert len(fixing) == 2
    for name in ("light-mask", "diffuser", "lamps", "spacer", "back-plate"):
        assert holes(made[name], "fixing_holes") == fixing
    for name in ("light-mask", "diffuser", "lamps"):
        assert holes(made[name], "centre_hole") == holes(made["face"], "centre_hole")
        assert holes(made[name], "outline") == holes(made["face"], "outline")
    frame = holes(made["bezel-ring"], "frame_holes")
    assert len(frame) == 4
    for name in ("spacer", "back-plate"):
        assert holes(made[name], "frame_holes") == frame
        assert holes(made[name], "outline") == holes(made["bezel-ring"], "outline") == {(0.0, 0.0, 94.0)}


@pytest.mark.slow
def test_a_screw_through_all_plates_meets_no_material() -> None:
    """Shapely stacks the plates and pushes the screws through."""
    made = plates(RUDDER_DIAL)
    for name in ("face", "light-mask", "diffuser", "lamps", "spacer", "back-plate", "bezel-ring"):
        solid = polygon_of(*(loop for _, _, loop in cut_loops(made[name])))
        for x, y, diameter in holes(made["face"], "fixing_holes"):
            screw = Point(x, y).buffer(diameter / 2.0 - 0.01)
            assert not solid.intersects(screw), name


def test_the_bezel_covers_the_edge_of_the_face_and_no_more() -> None:
    assert holes(plates(RUDDER_DIAL)["bezel-ring"], "opening") == {(0.0, 0.0, 76.0)}
    bare = RUDDER.model_copy(update={"bezel_mm": 0.0})
    with pytest.raises(DesignError, match=r"instruments\.rudder\.face\.bezel_mm: a bezel ring needs an edge"):
        plates_of(dial(face=bare))


@pytest.mark.parametrize("key", GENERIC)
def test_every_generic_movement_has_a_body_with_a_source_that_fits_a_plate(key: str) -> None:
    body = BODIES[key]
    assert "typical, measure yours" in body.source
    wide = Frame(diameter_mm=120.0)
    made = plates(dial(movement=GENERIC[key], making=Making(frame=wide, back_plate=BackPlate())))[
        "back-plate"
    ]
    assert len(holes(made, "movement.screws")) == len(body.screws)


@pytest.mark.parametrize(("key", "pitch_mm"), [("hybrid-28mm", 23.0), ("hybrid-42mm", 31.0)])
def test_flanges_of_hybrid_steppers_are_those_of_the_standard(key: str, pitch_mm: float) -> None:
    plain = RUDDER.model_copy(update={"fixing_holes": None})
    plate = BackPlate(clearance_mm=0.0, turn_deg=0.0)
    instrument = dial(face=plain, movement=GENERIC[key], making=Making(back_plate=plate))
    made = plates(instrument)["back-plate"]
    assert holes(made, "movement.opening") == {(0.0, 0.0, 22.0)}
    corners = {(x, y) for x, y, _ in holes(made, "movement.screws")}
    half = pitch_mm / 2.0
    assert corners == {(half, half), (half, -half), (-half, -half), (-half, half)}


def test_the_opening_takes_the_body_with_its_clearance_and_turns_with_it() -> None:
    body = Body(
        width_mm=12.0, height_mm=23.0, y_mm=-5.5, screws=(Screw(x_mm=0, y_mm=-19.0, diameter_mm=2.0),)
    )
    plate = BackPlate(body=body, clearance_mm=0.25, turn_deg=90.0)
    made = plates(dial(making=Making(frame=FRAME, back_plate=plate)))["back-plate"]
    opening = next(e for e in made.elements if e.part == "movement.opening")
    assert isinstance(opening, Outline)
    left, bottom, right, top = polygon_of(*opening.loops).bounds
    assert (right - left, top - bottom) == pytest.approx((23.5, 12.5))
    # a quarter clockwise takes what was below the shaft to the left of it
    assert ((left + right) / 2.0, (bottom + top) / 2.0) == pytest.approx((-5.5, 0.0))
    assert holes(made, "movement.screws") == {(-19.0, 0.0, 2.0)}


def test_the_movement_of_a_gear_train_stands_its_centre_distance_away() -> None:
    """Module 1 with 36 and 24 teeth: (36 + 24) / 2 = 30 mm by closed form."""
    train = GearPair(ratio=1.5, movement_teeth=36, pointer_teeth=24)
    made = plates(dial(train=train, making=making(light=None)))["back-plate"]
    opening = next(e for e in made.elements if e.part == "movement.opening")
    assert isinstance(opening, Outline)
    assert polygon_of(*opening.loops).contains(Point(0.0, -30.0))
    assert holes(made, "bush") == {(0.0, 0.0, 4.0)}


def test_an_idler_has_a_hole_of_its_own_and_moves_the_movement_as_far_again() -> None:
    """Module 0.5 with 24 and 16 teeth: 16 x 0.5 = 8 mm to the idler, (24 + 16) / 2 x 0.5 = 10 mm more."""
    train = GearPair(ratio=1.5, movement_teeth=24, pointer_teeth=16, module_mm=0.5, idler=True)
    body = Body(diameter_mm=10.0)
    made = plates(dial(train=train, making=making(light=None, back_plate=BackPlate(body=body))))["back-plate"]
    assert holes(made, "idler") == {(0.0, -8.0, 4.0)}
    assert holes(made, "movement.opening") == {(0.0, -18.0, 10.4)}


@pytest.mark.slow
def test_everything_that_glows_is_clear_in_a_film_and_burnt_out_of_paint() -> None:
    film = plates(RUDDER_DIAL)["light-mask"]
    paint = plates(dial(making=making(light=LightLayer(mask=MaskKind.PAINT))))["light-mask"]
    (opaque,) = [e for e in film.elements if e.operation is Operation.MASK]
    (burnt,) = [e for e in paint.elements if e.operation is Operation.ENGRAVE]
    assert isinstance(opaque, Outline)
    assert isinstance(burnt, Outline)
    clear, disc = polygon_of(*burnt.loops), Point(0.0, 0.0).buffer(40.0, quad_segs=256)
    assert polygon_of(*opaque.loops).intersection(clear).area < 1e-6
    assert polygon_of(*opaque.loops).union(clear).symmetric_difference(disc).area < 0.6  # chords
    # the middle of the graduation at 0, which stands at twelve o'clock
    assert clear.contains(Point(0.0, 33.0))
    assert not clear.contains(Point(0.0, 10.0))


def test_only_what_should_glow_glows() -> None:
    light = LightLayer(mask=MaskKind.PAINT, glow=(Glow.LEGENDS,))
    made = plates(dial(making=making(light=light)))["light-mask"]
    (burnt,) = [e for e in made.elements if e.operation is Operation.ENGRAVE]
    assert isinstance(burnt, Outline)
    assert polygon_of(*burnt.loops).bounds[3] < -10.0


def test_lamps_stand_evenly_no_farther_apart_than_deep_and_clear_of_the_screws() -> None:
    made = plates(RUDDER_DIAL)["lamps"]
    lamps = sorted(holes(made, "lamps"))
    areas = [Point(x, y).buffer(d / 2.0) for x, y, d in (*lamps, *holes(made, "fixing_holes"))]
    assert min(one.distance(other) for one, other in combinations(areas, 2)) >= 1.0 - 1e-6
    nearest = [
        min(((x - u) ** 2 + (y - v) ** 2) ** 0.5 for u, v, _ in lamps if (u, v) != (x, y))
        for x, y, _ in lamps
    ]
    assert max(nearest) == pytest.approx(min(nearest), abs=1e-5)
    assert max(nearest) <= 12.0


def test_windows_go_through_mask_diffuser_and_lamps_and_lamps_keep_clear() -> None:
    window = Aperture(x_mm=0.0, y_mm=-28.0, width_mm=16.0, height_mm=8.0)
    made = plates(dial(face=RUDDER.model_copy(update={"apertures": (window,)})))
    cut = [e for e in made["face"].elements if e.part == "apertures.0"]
    for name in ("light-mask", "diffuser", "lamps"):
        assert [e for e in made[name].elements if e.part == "apertures.0"] == cut
    for x, y, diameter in holes(made["lamps"], "lamps"):
        assert not Point(x, y).buffer(diameter / 2.0 + 0.9).intersects(box(-8.0, -32.0, 8.0, -24.0))


def test_a_scored_face_has_a_mask_all_the_same() -> None:
    scored = RUDDER.model_copy(update={"marking": Marking.SCORE})
    masks = [plates(dial(face=face))["light-mask"] for face in (RUDDER, scored)]
    assert masks[0] == masks[1]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"frame": Frame(diameter_mm=30.0)}, "making.back_plate"),
        ({"spacer": SpacerRing(width_mm=47.0)}, "making.spacer: no ring is left"),
        ({"light": LightLayer(lamps=Lamps(count=60))}, "making.light.lamps: the lamps stand too close"),
        ({"light": LightLayer(lamps=Lamps(circle_mm=79.0))}, "the edge, found"),
        (
            {"back_plate": BackPlate(body=Body(diameter_mm=60.0))},
            "movement.opening leave too little material",
        ),
    ],
)
def test_what_cannot_be_made_is_refused_and_found(changes: dict[str, Any], said: str) -> None:
    instrument = dial(making=making(bezel_ring=None, **changes))
    with pytest.raises(DesignError, match=r"^instruments\.rudder\.") as refusal:
        plates_of(instrument)
    assert said in str(refusal.value)
    (finding,) = check_making(Panel(title="Ferry", instruments=(instrument,)))
    assert finding.rule == "plate-cannot-be-drawn"
    assert finding.place.startswith("instruments.rudder.making.")
    assert str(refusal.value).startswith(finding.place)


@pytest.mark.parametrize(
    ("stock", "rule"),
    [
        (Stock(width_mm=90.0), "plate-larger-than-sheet"),
        (Stock(kerf_mm=2.0), "kerf-too-wide"),
        (Stock(name="PVC foam"), "never-laser-pvc"),
    ],
)
def test_stock_that_will_not_do_is_found(stock: Stock, rule: str) -> None:
    panel = Panel(title="Ferry", instruments=(RUDDER_DIAL,), stock=(stock,))
    assert rule in {finding.rule for finding in check_making(panel)}
    assert check_making(Panel(title="Ferry", instruments=(RUDDER_DIAL,))) == []


def test_findings_about_plates_are_sentences_that_name_the_plate() -> None:
    stubby = RUDDER_DIAL.pointer.model_copy(update={"bore_mm": 30.0})
    cases = {
        "Plate rudder-face: the panel has no such stock.": Panel(
            title="Ferry", instruments=(dial(making=making(face_stock=3)),)
        ),
        "Plate rudder-face: the plate is larger than a sheet of cast acrylic, 3 mm.": Panel(
            title="Ferry", instruments=(RUDDER_DIAL,), stock=(Stock(width_mm=80.0),)
        ),
        "Plate rudder-pointer, pointer.bore: the kerf of 2 mm is as wide as the hole.": Panel(
            title="Ferry", instruments=(RUDDER_DIAL,), stock=(Stock(kerf_mm=2.0),)
        ),
        "A plate cannot be drawn: its bore does not fit the boss of 8 mm diameter.": Panel(
            title="Ferry", instruments=(dial(pointer=stubby),)
        ),
    }
    for sentence, panel in cases.items():
        assert sentence in {finding.message for finding in check_making(panel)}


def test_a_stock_that_is_not_there_is_found_and_refused() -> None:
    instrument = dial(making=making(face_stock=3))
    panel = Panel(title="Ferry", instruments=(instrument,))
    (finding,) = check_making(panel)
    assert (finding.rule, finding.place) == ("stock-missing", "instruments.rudder.making.face_stock")
    with pytest.raises(
        DesignError, match=r"making\.face_stock: the panel has no such stock, found 3; accepted: 0"
    ):
        sheets_of(panel)


@pytest.mark.slow
def test_each_plate_goes_to_its_own_stock_and_a_film_to_none() -> None:
    instrument = dial(making=making(pointer_stock=1, light=LightLayer(diffuser_stock=2)))
    stock = {plate.drawing.name: plate.stock for plate in stocked_plates_of(instrument)}
    assert stock["rudder-pointer"] == 1
    assert stock["rudder-diffuser"] == 2
    assert stock["rudder-light-mask"] is None
    sheets = sheets_of(Panel(title="F", instruments=(instrument,), stock=(Stock(), Stock(), Stock())))
    assert [sheet.stock for sheet in sheets] == [0, 1, 2]
    assert sheets[1].pieces == ("rudder-pointer",)


def test_a_stepper_that_is_not_generic_gets_a_typical_body() -> None:
    made = plates(dial(movement=Stepper(name="my own"), making=Making(back_plate=BackPlate())))["back-plate"]
    assert holes(made, "movement.opening") == {(0.0, 0.0, 10.4)}


@pytest.mark.parametrize("diameter_mm", [60.0, 94.0])
def test_the_warning_on_a_back_plate_is_never_cut_short(diameter_mm: float) -> None:
    for title in ("Fuel", "Rudder angle", "A very long name of an instrument, " * 5):
        instrument = RUDDER_DIAL.model_copy(
            update={
                "title": title,
                "making": making(
                    frame=Frame(diameter_mm=diameter_mm), back_plate=BackPlate(), light=None, spacer=None
                ),
                "face": RUDDER.model_copy(update={"fixing_holes": None, "diameter_mm": diameter_mm}),
            }
        )
        drawn = plates(instrument)["back-plate"]
        said = [e for e in drawn.elements if isinstance(e, Strokes) and e.part == "caption"]
        assert any("movement typical, measure yours" in line.text for line in said)
        for line in said:
            ink = ink_of(line)
            assert ink is not None
            assert ink.box.bottom_mm > drawn.box.bottom_mm
            assert ink.box.top_mm < -diameter_mm / 2.0
    own = BackPlate(body=Body(diameter_mm=20.0))
    measured = plates(dial(making=making(back_plate=own)))["back-plate"]
    assert not any("typical" in e.text for e in measured.elements if isinstance(e, Strokes))
