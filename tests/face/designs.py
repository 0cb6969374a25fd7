"""Faces to test with: a centre zero, an uneven scale, sectors, detent marks."""

from __future__ import annotations

from gaugecore.face.face import (
    DetentMark,
    DetentShape,
    Face,
    FixingHoles,
    Graduations,
    Legend,
    Numerals,
    Sector,
)
from gaugecore.face.scale import LinearScale, PiecewiseScale

RUDDER = Face(
    diameter_mm=80.0,
    bezel_mm=2.0,
    centre_hole_mm=6.0,
    fixing_holes=FixingHoles(count=2, pitch_circle_mm=54.0, diameter_mm=2.4, first_deg=100.0),
    scale=LinearScale(low_value=-35.0, high_value=35.0, low_deg=-105.0, high_deg=105.0),
    graduations=Graduations(
        outer_radius_mm=36.0,
        major_step=10.0,
        intermediate_step=5.0,
        minor_step=1.0,
        base_arc_width_mm=0.4,
    ),
    numerals=Numerals(radius_mm=26.5, height_mm=4.5, unsigned=True),
    sectors=(
        Sector(low_value=-35.0, high_value=0.0, inner_radius_mm=36.4, outer_radius_mm=37.6, colour="#b3261e"),
        Sector(low_value=0.0, high_value=35.0, inner_radius_mm=36.4, outer_radius_mm=37.6, colour="#1f7a3d"),
    ),
    legends=(Legend(text="RUDDER", y_mm=-14.0), Legend(text="degrees", y_mm=-20.0, height_mm=2.6)),
)

SHAFT = Face(
    diameter_mm=80.0,
    bezel_mm=2.0,
    scale=PiecewiseScale(points=((0.0, -135.0), (200.0, -45.0), (600.0, 45.0), (1400.0, 135.0))),
    graduations=Graduations(outer_radius_mm=36.5, major_step=200.0, intermediate_step=100.0, minor_step=20.0),
    numerals=Numerals(radius_mm=27.0, height_mm=4.5, divisor=100.0),
)

FUEL = Face(
    diameter_mm=60.0,
    scale=LinearScale(low_value=0.0, high_value=1.0, low_deg=-60.0, high_deg=60.0),
    graduations=Graduations(outer_radius_mm=26.0, major_step=0.5, intermediate_step=0.1, minor_step=0.05),
    numerals=Numerals(radius_mm=17.5, height_mm=4.2, texts=((0.0, "E"), (0.5, "½"), (1.0, "F"))),
    sectors=(
        Sector(low_value=0.0, high_value=0.1, inner_radius_mm=26.4, outer_radius_mm=28.0, colour="#b3261e"),
    ),
)

FLAP = Face(
    diameter_mm=60.0,
    scale=LinearScale(low_value=0.0, high_value=25.0, low_deg=215.0, high_deg=90.0),
    graduations=Graduations(outer_radius_mm=26.5, major_step=5.0, minor_step=1.0),
    detent_marks=(
        DetentMark(value=0.0, label="UP"),
        DetentMark(value=7.0, label="7", shape=DetentShape.BAR),
        DetentMark(value=20.0, label="20"),
    ),
    ground_colour="#101010",
    ink_colour="#f4f4e8",
)

FACES = {"rudder": RUDDER, "shaft": SHAFT, "fuel": FUEL, "flap": FLAP}
