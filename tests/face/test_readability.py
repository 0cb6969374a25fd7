"""Findings on faces: every rule is seen to speak, and to keep quiet.

Worked examples: character heights from h = 2 d tan(a / 2); contrast from WCAG's definition, whose extremes
are 1 and 21 and whose mid grey #777777 on white is 4.48 (a value quoted with the definition; from memory).
"""

from __future__ import annotations

from typing import Any

import pytest

from gaugecore.face.contrast import contrast, luminance
from gaugecore.face.face import (
    Aperture,
    DetentMark,
    Ends,
    Face,
    FixingHoles,
    Graduations,
    GraduationStyle,
    Icon,
    IndexTriangle,
    Legend,
    Marking,
    Numerals,
    ScaleBreak,
    SecondScale,
    Sector,
    TipRule,
)
from gaugecore.face.readability import check_face
from gaugecore.face.scale import CircularScale, LinearScale, MultiTurnScale, PiecewiseScale, PowerScale
from gaugecore.face.seeing import arcmin_of, height_for_mm
from gaugecore.findings import Finding, Severity
from tests.face.designs import FACES, FUEL, RUDDER

#: A face no rule objects to, at 350 mm.
CLEAN = Face(
    diameter_mm=80.0,
    bezel_mm=2.0,
    centre_hole_mm=6.0,
    fixing_holes=FixingHoles(count=2, pitch_circle_mm=39.0, diameter_mm=2.4, first_deg=150.0),
    scale=LinearScale(low_value=0.0, high_value=50.0, low_deg=-135.0, high_deg=135.0),
    graduations=Graduations(
        outer_radius_mm=36.0,
        major_step=10.0,
        intermediate_step=5.0,
        minor_step=1.0,
        minor=GraduationStyle(length_mm=2.6, width_mm=0.3),
    ),
    numerals=Numerals(radius_mm=25.0, height_mm=4.5, stroke_mm=0.75),
    viewing_distance_mm=350.0,
)


def said(face: Face, **how: Any) -> dict[str, Finding]:
    return {finding.rule: finding for finding in check_face(face, **how)}


def changed(part: Any, **update: Any) -> Any:
    return part.model_copy(update=update)


def test_a_sound_face_has_nothing_said_about_it() -> None:
    assert check_face(CLEAN, pointer_length_mm=33.0, pointer_gap_mm=1.0, tip_width_mm=0.3) == []


@pytest.mark.parametrize("name", FACES)
def test_the_designs_have_no_faults(name: str) -> None:
    faults = [f for f in check_face(FACES[name]) if f.severity is Severity.FAULT]
    assert faults == []


def scale(low: float, high: float, low_deg: float, high_deg: float) -> LinearScale:
    return LinearScale(low_value=low, high_value=high, low_deg=low_deg, high_deg=high_deg)


RINGS = CLEAN.graduations
NUMERALS = CLEAN.numerals
SECTOR = Sector(low_value=0, high_value=10, inner_radius_mm=36.5, outer_radius_mm=37.5, colour="#1f7a3d")
HOLES = FixingHoles(count=2, pitch_circle_mm=40.0, diameter_mm=2.4, first_deg=150.0)

BAD = [
    ("off-the-disc", "face.numerals", {"numerals": changed(NUMERALS, radius_mm=39.0)}),
    ("under-the-bezel", "face.graduations", {"bezel_mm": 5.0}),
    ("value-off-the-scale", "face.detent_marks.0", {"detent_marks": (DetentMark(value=51.0),)}),
    ("value-off-the-scale", "face.sectors.0", {"sectors": (changed(SECTOR, high_value=60.0),)}),
    ("sector-empty", "face.sectors.0", {"sectors": (changed(SECTOR, inner_radius_mm=37.5),)}),
    (
        "sector-empty",
        "face.sectors.0",
        # a 43rd to the eighth power is no arc
        {
            "scale": PowerScale(exponent=8.0, low_value=0.0, high_value=43.0),
            "sectors": (changed(SECTOR, high_value=1.0),),
        },
    ),
    ("off-the-disc", "face.sectors.0", {"sectors": (changed(SECTOR, outer_radius_mm=41.0),)}),
    ("hole-off-the-disc", "face.fixing_holes", {"fixing_holes": changed(HOLES, pitch_circle_mm=79.0)}),
    ("hole-near-the-edge", "face.fixing_holes", {"fixing_holes": changed(HOLES, pitch_circle_mm=77.0)}),
    ("holes-meet", "face.fixing_holes", {"fixing_holes": changed(HOLES, pitch_circle_mm=7.0)}),
    ("holes-near", "face.fixing_holes", {"fixing_holes": changed(HOLES, pitch_circle_mm=8.8)}),
    ("runs-into", "face.graduations", {"fixing_holes": changed(HOLES, pitch_circle_mm=70.0, first_deg=40.0)}),
    ("runs-into", "face.numerals", {"numerals": changed(NUMERALS, radius_mm=31.0)}),
    ("crowded", "face.numerals", {"numerals": changed(NUMERALS, radius_mm=26.0)}),
    ("runs-into", "face.legends.0", {"legends": (Legend(text="STOP", x_mm=0.0, y_mm=0.0),)}),
    ("runs-into", "face.icons.0", {"icons": (Icon(y_mm=34.0),)}),
    (
        "runs-into",
        "face.index_triangles.0",
        {"index_triangles": (IndexTriangle(radius_mm=10.0),), "apertures": (Aperture(y_mm=11.0),)},
    ),
    ("runs-into", "face.sectors.0", {"sectors": (SECTOR,), "apertures": (Aperture(x_mm=-28.0, y_mm=-24.0),)}),
    ("crowded", "face.numerals", {"fixing_holes": changed(HOLES, pitch_circle_mm=40.6, first_deg=27.0)}),
    ("value-off-the-scale", "face.breaks.0", {"breaks": (ScaleBreak(low_value=40.0, high_value=60.0),)}),
    ("break-empty", "face.breaks.0", {"breaks": (ScaleBreak(low_value=30.0, high_value=20.0),)}),
    (
        "breaks-meet",
        "face.breaks.0",
        {"breaks": (ScaleBreak(low_value=20, high_value=30), ScaleBreak(low_value=10, high_value=25))},
    ),
    (
        "graduations-reach-the-pivot",
        "face.graduations.major",
        {"graduations": changed(RINGS, major=GraduationStyle(length_mm=36.0, width_mm=0.8))},
    ),
    ("no-graduations", "face.graduations", {"scale": scale(1.1, 1.9, 0.0, 90.0)}),
    ("cannot-be-drawn", "face.legends.0.text", {"legends": (Legend(text="☃"),)}),
    ("steps-uneven", "face.graduations.minor_step", {"graduations": changed(RINGS, minor_step=2.0)}),
    (
        "steps-around",
        "face.graduations.major_step",
        {"scale": CircularScale(), "graduations": changed(RINGS, major_step=50.0)},
    ),
    (
        "steps-around",
        "face.graduations.major_step",
        {"scale": MultiTurnScale(), "graduations": changed(RINGS, major_step=300.0, minor_step=100.0)},
    ),
    (
        "line-too-fine",
        "face.graduations.minor",
        {
            "marking": Marking.ENGRAVE,
            "graduations": changed(RINGS, minor=GraduationStyle(length_mm=2.6, width_mm=0.05)),
        },
    ),
    (
        "text-too-small",
        "face.legends.0",
        {"marking": Marking.SCORE, "legends": (Legend(text="A", y_mm=10.0, height_mm=1.4),)},
    ),
    ("steps-1-2-5", "face.graduations.major_step", {"graduations": changed(RINGS, major_step=7.0)}),
    (
        "marks-between-numerals",
        "face.graduations",
        {"numerals": changed(NUMERALS, step=25.0), "graduations": changed(RINGS, major_step=25.0)},
    ),
    ("numeral-rounded", "face.numerals", {"numerals": changed(NUMERALS, step=2.5)}),
    (
        "numeral-without-graduation",
        "face.numerals",
        {"numerals": changed(NUMERALS, step=12.5, decimals=1)},
    ),
    ("graduation-without-numeral", "face.numerals.step", {"numerals": changed(NUMERALS, step=20.0)}),
    ("scale-end-without-graduation", "face.graduations", {"scale": scale(0.5, 50.0, -135.0, 135.0)}),
    (
        "scale-uneven",
        "face.scale",
        {"scale": PiecewiseScale(points=((0.0, -135.0), (10.0, 0.0), (50.0, 135.0)))},
    ),
    ("scale-break", "face.scale", {"scale": scale(0.0, 50.0, -170.0, 170.0)}),
    ("counter-clockwise", "face.scale", {"scale": scale(0.0, 50.0, 135.0, -135.0)}),
    ("zero-place", "face.scale", {"scale": scale(-25.0, 25.0, 0.0, 180.0)}),
    (
        "thickness-to-spacing",
        "face.graduations",
        {"graduations": changed(RINGS, minor=GraduationStyle(length_mm=2.6, width_mm=0.8))},
    ),
    ("spacing", "face.graduations", {"graduations": changed(RINGS, minor_step=0.1)}),
    ("graduation-width", "face.graduations.minor", {"viewing_distance_mm": 900.0}),
    (
        "ranks-alike",
        "face.graduations.intermediate",
        {"graduations": changed(RINGS, intermediate=GraduationStyle(length_mm=4.9, width_mm=0.6))},
    ),
    ("numeral-height", "face.numerals", {"viewing_distance_mm": 1200.0}),
    ("label-height", "face.legends.0", {"legends": (Legend(text="A", y_mm=10.0, height_mm=1.4),)}),
    ("stroke-to-height", "face.numerals", {"numerals": changed(NUMERALS, stroke_mm=None)}),
    ("contrast", "face.ink_colour", {"ink_colour": "#b0b0b0"}),
    ("contrast", "face.sectors.0", {"sectors": (changed(SECTOR, colour="#ffe680"),)}),
    (
        "sectors-alike",
        "face.sectors.1",
        {"sectors": (SECTOR, changed(SECTOR, low_value=10, high_value=20, colour="#8a4b16"))},
    ),
]


@pytest.mark.parametrize(("rule", "place", "update"), BAD, ids=[f"{rule}-{place}" for rule, place, _ in BAD])
def test_a_bad_face_is_told_what_where_and_what_to_do(rule: str, place: str, update: dict[str, Any]) -> None:
    found = [f for f in check_face(changed(CLEAN, **update)) if f.rule == rule and f.place == place]
    assert len(found) == 1 or (rule == "value-off-the-scale" and found)
    finding = found[0]
    assert finding.message.endswith(".")
    assert finding.source
    assert finding.remedy
    assert finding.wanted
    assert "\n" not in finding.message


@pytest.mark.parametrize(
    ("rule", "update", "how"),
    [
        ("pointer-hits-the-bezel", {}, {"pointer_length_mm": 38.5}),
        ("pointer-reach", {}, {"pointer_length_mm": 28.0}),
        ("pointer-reach", {}, {"pointer_length_mm": 34.0}),
        ("pointer-reach", {"tip_rule": TipRule.OVER_MARKS}, {"pointer_length_mm": 33.0}),
        ("tip-width", {}, {"pointer_length_mm": 33.0, "tip_width_mm": 1.0}),
        ("pointer-gap", {}, {"pointer_length_mm": 33.0, "pointer_gap_mm": 2.5}),
        ("parallax", {"eye_offset_mm": 200.0}, {"pointer_length_mm": 33.0, "pointer_gap_mm": 1.6}),
        ("finer-than-the-needle", {}, {"error_deg": 6.0}),
    ],
)
def test_a_needle_is_held_against_its_face(rule: str, update: dict[str, Any], how: dict[str, Any]) -> None:
    assert rule in said(changed(CLEAN, **update), **how)


def test_both_conventions_of_the_tip_can_be_met() -> None:
    # inner ends of the shortest marks at 36 - 2.6 = 33.4 mm
    assert "pointer-reach" not in said(CLEAN, pointer_length_mm=33.4)
    over = changed(CLEAN, tip_rule=TipRule.OVER_MARKS)
    assert "pointer-reach" not in said(over, pointer_length_mm=34.0)


def test_where_inner_ends_are_aligned_the_tip_reaches_the_longest() -> None:
    # all inner ends at 36 - 5 = 31 mm, the outer ends of the shortest at 31 + 2.6 = 33.6 mm
    inner = changed(CLEAN, graduations=changed(RINGS, aligned=Ends.INNER))
    assert "pointer-reach" not in said(inner, pointer_length_mm=31.0)
    assert "pointer-reach" in said(inner, pointer_length_mm=33.4)
    over = changed(inner, tip_rule=TipRule.OVER_MARKS)
    assert "pointer-reach" not in said(over, pointer_length_mm=33.4)
    assert "pointer-reach" in said(over, pointer_length_mm=34.0)


def test_where_inner_ends_are_aligned_graduations_stand_closest_there() -> None:
    # 5.4° of dial angle, at 33.4 and at 31 mm
    for aligned, spacing in ((Ends.OUTER, "3.15 mm"), (Ends.INNER, "2.92 mm")):
        face = changed(CLEAN, viewing_distance_mm=5000.0, graduations=changed(RINGS, aligned=aligned))
        assert said(face)["spacing"].measured == spacing


@pytest.mark.parametrize(("length_mm", "gap_mm"), [(20.0, 1.4), (30.0, 1.6), (40.0, 1.8)])
def test_the_gap_allowed_is_a_fiftieth_of_the_length_and_a_millimetre(
    length_mm: float, gap_mm: float
) -> None:
    # EU measuring-instrument text on circular scales: 0.02 L + 1 mm, worked for 20, 30 and 40 mm
    coarse = changed(CLEAN, graduations=changed(RINGS, minor_step=None, intermediate_step=None))
    assert "pointer-gap" not in said(
        coarse, pointer_length_mm=min(length_mm, 38.0), pointer_gap_mm=gap_mm - 0.05
    )
    assert "pointer-gap" in said(coarse, pointer_length_mm=min(length_mm, 38.0), pointer_gap_mm=gap_mm + 0.01)


def test_a_collision_is_pointed_at() -> None:
    face = changed(CLEAN, legends=(Legend(text="STOP", x_mm=20.0, y_mm=20.0),))
    finding = next(f for f in check_face(face) if f.place == "face.legends.0" and f.rule == "runs-into")
    assert finding.at_mm == pytest.approx((20.0, 20.0), abs=1e-6)


def test_a_numeral_with_a_point_is_called_by_its_whole_value() -> None:
    halves = changed(RINGS, major_step=12.5)
    numerals = changed(NUMERALS, radius_mm=31.0, decimals=1, texts=((0.0, ""),))
    face = changed(CLEAN, graduations=halves, numerals=numerals)
    finding = next(f for f in check_face(face) if f.rule == "runs-into")
    assert finding.message == "The numeral at 12.5 runs into a graduation."


def test_words_need_no_steps_of_1_2_5() -> None:
    odd = changed(FUEL.graduations, major_step=0.5, intermediate_step=0.25, minor_step=0.125)
    assert "steps-1-2-5" not in said(changed(FUEL, graduations=odd))
    assert "steps-1-2-5" in said(changed(RUDDER, graduations=changed(RUDDER.graduations, minor_step=2.5)))


@pytest.mark.parametrize(
    ("distance_mm", "heights_mm"),
    [
        (500.0, (1.745, 2.327, 2.909, 3.491)),
        (700.0, (2.443, 3.258, 4.072, 4.887)),
        (710.0, (2.478, 3.304, 4.131, 4.957)),
    ],
)
def test_character_heights_by_the_formula(distance_mm: float, heights_mm: tuple[float, ...]) -> None:
    # h = 2 d tan(a / 2) at 12, 16, 20 and 24 minutes of arc (happy.emu.id.au/lab/lectures/vieweye)
    for arcmin, height_mm in zip((12.0, 16.0, 20.0, 24.0), heights_mm, strict=True):
        assert height_for_mm(arcmin, distance_mm) == pytest.approx(height_mm, abs=5e-4)
        assert arcmin_of(height_for_mm(arcmin, distance_mm), distance_mm) == pytest.approx(arcmin)


def test_the_letter_of_20_20_vision() -> None:
    # 5 minutes of arc at 6 m is 8.727 mm, which the same lecture rounds to 9
    assert height_for_mm(5.0, 6000.0) == pytest.approx(8.727, abs=5e-4)


def test_contrast_by_the_definition() -> None:
    # WCAG 2.1: white on black 21 : 1; equal colours 1 : 1; #777777 on white 4.48 : 1
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)
    assert contrast("#123456", "#123456") == 1.0
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)
    # 0.2126 R + 0.7152 G + 0.0722 B on pure colours
    assert luminance("#ff0000") == pytest.approx(0.2126)
    assert luminance("#00ff00") == pytest.approx(0.7152)
    assert luminance("#0000ff") == pytest.approx(0.0722)


def test_the_worst_comes_first() -> None:
    face = changed(CLEAN, bezel_mm=6.0, viewing_distance_mm=1500.0)
    ranks = [finding.severity.rank for finding in check_face(face)]
    assert ranks == sorted(ranks)
    assert ranks[0] == 0


@pytest.mark.parametrize(
    ("rule", "place", "update"),
    [
        ("steps-1-2-5", "second.graduations.major_step", {"major_step": 15.0, "minor_step": 5.0}),
        ("steps-uneven", "second.graduations.minor_step", {"minor_step": 4.0}),
        ("numeral-rounded", "second.numerals", {"major_step": 12.5}),
        ("marks-between-numerals", "second.graduations", {"minor_step": 0.5}),
        ("spacing", "second.graduations", {"minor_step": 0.2}),
        (
            "graduation-width",
            "second.graduations.minor",
            {"minor": GraduationStyle(length_mm=1, width_mm=0.1)},
        ),
        ("ranks-alike", "second.graduations.minor", {"minor": GraduationStyle(length_mm=3.9, width_mm=0.3)}),
    ],
)
def test_the_second_ring_is_read_by_the_same_rules(rule: str, place: str, update: dict[str, Any]) -> None:
    rings = Graduations(
        outer_radius_mm=20.0,
        major_step=10.0,
        major=GraduationStyle(length_mm=4.0, width_mm=0.5),
        minor_step=2.0,
    )
    second = SecondScale(
        factor=1.0,
        graduations=changed(rings, **update),
        numerals=Numerals(radius_mm=13.0, height_mm=2.4, stroke_mm=0.4),
    )
    found = [f.place for f in check_face(changed(CLEAN, second=second)) if f.rule == rule]
    assert f"face.{place}" in found
    assert f"face.{place.removeprefix('second.')}" not in found


def test_a_back_lit_face_is_read_by_night_too() -> None:
    # 0.89, 0.76 and 0.64 mm, and 1.8 mm apart, at 710 mm by little light (MIL-STD-1472 lineage, from memory)
    by_night = said(changed(CLEAN, viewing_distance_mm=710.0), back_lit=True)
    assert by_night["graduation-width-by-night"].wanted == (
        "major 0.89 mm, intermediate 0.76 mm, minor 0.64 mm at 710 mm"
    )
    assert "spacing-by-night" not in by_night
    nearer = changed(RINGS, outer_radius_mm=20.0)
    assert "spacing-by-night" in said(
        changed(CLEAN, viewing_distance_mm=710.0, graduations=nearer), back_lit=True
    )
    broad = changed(
        RINGS,
        major=GraduationStyle(length_mm=5.0, width_mm=0.9),
        intermediate=GraduationStyle(length_mm=3.8, width_mm=0.76),
        minor=GraduationStyle(length_mm=2.6, width_mm=0.64),
    )
    assert "graduation-width-by-night" not in said(
        changed(CLEAN, viewing_distance_mm=710.0, graduations=broad), back_lit=True
    )


def test_small_numerals_on_the_second_ring_are_named() -> None:
    second = SecondScale(
        factor=1.0,
        graduations=Graduations(outer_radius_mm=20.0, major_step=10.0),
        numerals=Numerals(radius_mm=14.0, height_mm=1.2),
    )
    small = said(changed(CLEAN, second=second))
    assert small["numeral-height"].place == small["stroke-to-height"].place == "face.second.numerals"
