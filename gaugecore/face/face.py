"""The face as the user designs it: what the dial says, and where.

All of it is data; `layout.py` turns it into elements, `readability.py` says how well it reads.
"""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from pydantic import Field, field_validator

from gaugecore.face.scale import Scale
from gaugecore.values import (
    Caption,
    Colour,
    DialAngle,
    Length,
    LengthOrZero,
    Offset,
    Part,
    Quantity,
)


class GraduationStyle(Part):
    """How one rank of graduation is drawn."""

    length_mm: Length
    width_mm: Length


class Ends(Enum):
    """Which ends of the graduations lie on one circle."""

    OUTER = "outer"  #: the outer ends; shorter graduations stop short of the inner circle
    INNER = "inner"  #: the inner ends; shorter graduations stop short of the outer circle


class Graduations(Part):
    """The ring of graduations, between ``outer_radius_mm`` and the length of a major one less.

    Steps count values from zero. On a logarithmic scale they count the units of each decade: 1 marks 1, 2, 3
    to 9, 10, 20, 30; 10 marks the powers of ten.
    """

    outer_radius_mm: Length
    major_step: Annotated[Quantity, Field(gt=0)]
    """Value between major graduations, counted from zero."""
    intermediate_step: Annotated[Quantity, Field(gt=0)] | None = None
    minor_step: Annotated[Quantity, Field(gt=0)] | None = None
    major: GraduationStyle = GraduationStyle(length_mm=5.0, width_mm=0.8)
    intermediate: GraduationStyle = GraduationStyle(length_mm=3.8, width_mm=0.6)
    minor: GraduationStyle = GraduationStyle(length_mm=2.6, width_mm=0.4)
    base_arc_width_mm: LengthOrZero = 0.0
    """Width of the arc that joins the ends on the circle; 0 draws none."""
    aligned: Ends = Ends.OUTER
    automatic: bool = False
    """Choose the steps by arc length and viewing distance, as 1, 2 or 5; the steps given are not used."""
    thinned: bool = True
    """On an uneven scale, leave out lesser graduations where they crowd."""


class Orientation(Enum):
    """How numerals stand."""

    UPRIGHT = "upright"  #: as on a printed page
    RADIAL = "radial"  #: the line of writing runs along the radius
    TANGENTIAL = "tangential"  #: feet toward the pivot


class Thousands(Enum):
    """How the thousands of a large figure are set apart."""

    NONE = "none"  #: 10000
    SPACE = "space"  #: 10 000
    COMMA = "comma"  #: 10,000


class Numerals(Part):
    """The numerals at the major graduations, or at values of their own."""

    radius_mm: Length
    """Distance from the pivot to the middle of each numeral."""
    height_mm: Length
    """Height of a capital or figure."""
    stroke_mm: Length | None = None
    """Line width; none: a tenth of the height (the rule of ISO 3098 type B, from memory)."""
    step: Annotated[Quantity, Field(gt=0)] | None = None
    """Value between numerals; none: one at every major graduation."""
    orientation: Orientation = Orientation.UPRIGHT
    decimals: Annotated[int, Field(ge=0, le=6)] = 0
    """How many there are; on a logarithmic scale none has more than it needs: 0.1, 1, 10."""
    divisor: Annotated[float, Field(ge=1e-9, le=1e12)] = 1.0
    """The numeral shows the value divided by this (100 for a dial marked ×100)."""
    unsigned: bool = False
    """Leave out the minus sign, as on a dial that reads the same to both sides."""
    plus: bool = False
    """Write a plus sign before figures above zero."""
    decimal_comma: bool = False
    thousands: Thousands = Thousands.NONE
    texts: Annotated[tuple[tuple[Quantity, Caption], ...], Field(max_length=200)] = ()
    """Text instead of a figure at some values: E, ½, F."""


class RangeMeaning(Enum):
    """What a range of values means to whoever reads it."""

    NORMAL = "normal"  #: where it belongs
    PRECAUTION = "precaution"  #: only for a time, or with care
    LIMIT = "limit"  #: never


class Sector(Part):
    """A coloured arc between two values."""

    low_value: Quantity
    high_value: Quantity
    inner_radius_mm: Length
    outer_radius_mm: Length
    colour: Colour
    hatched: bool = False
    """Slanted lines instead of a full colour."""
    meaning: RangeMeaning | None = None
    """What the range means; then its colour is held against published law (`law_colours.py`)."""


class LimitLine(Part):
    """A radial line at a value that must not be passed."""

    value: Quantity
    inner_radius_mm: Length
    outer_radius_mm: Length
    width_mm: Length = 1.0
    colour: Colour = "#c1121f"


class IndexTriangle(Part):
    """A filled triangle at a dial angle, its tip at a radius."""

    dial_deg: DialAngle = 0.0
    radius_mm: Length = 20.0
    size_mm: Length = 3.0
    points_outward: bool = False
    colour: Colour | None = None


class LubberLine(Part):
    """The fixed line against which a turning scale or a heading is read."""

    dial_deg: DialAngle = 0.0
    inner_radius_mm: Length = 10.0
    outer_radius_mm: Length = 20.0
    width_mm: Length = 0.8
    colour: Colour | None = None


class Aperture(Part):
    """A window to be cut, for a counter or a lamp: a rectangle with round corners, or all round."""

    x_mm: Offset = 0.0
    y_mm: Offset = 0.0
    width_mm: Length = 10.0
    height_mm: Length = 6.0
    corner_mm: LengthOrZero = 0.5


class Icon(Part):
    """A small filled picture from SVG path data, its middle at (x, y)."""

    path: Annotated[str, Field(max_length=4000)] = "M0 0 L4 0 L2 3 Z"
    x_mm: Offset = 0.0
    y_mm: Offset = 0.0
    size_mm: Length = 6.0
    """Its longer side."""
    colour: Colour | None = None


class DetentShape(Enum):
    """How a detent mark is drawn."""

    TRIANGLE = "triangle"  #: an outlined triangle, its tip on the graduations' inner ends
    BAR = "bar"  #: a broad bar across the graduations


class DetentMark(Part):
    """A labelled stop that the needle must hit exactly."""

    value: Quantity
    label: Caption = ""
    tolerance_deg: Annotated[float, Field(gt=0, le=45)] = 1.0
    """Half-width of the dial angle within which the needle covers the mark."""
    shape: DetentShape = DetentShape.TRIANGLE
    colour: Colour | None = None
    label_radius_mm: Length | None = None
    """Distance from the pivot to the middle of the label; none: just inside the mark."""
    show_tolerance: bool = False
    """Draw the tolerance as an arc at the graduations' outer circle, or just beyond a base arc there."""


class Legend(Part):
    """Free text, its middle at (x, y)."""

    text: Caption
    x_mm: Offset = 0.0
    y_mm: Offset = 0.0
    height_mm: Length = 3.0
    stroke_mm: Length | None = None
    colour: Colour | None = None
    turn_deg: DialAngle = 0.0
    """How far it is turned clockwise; along an arc: the dial angle of its middle."""
    arc_radius_mm: Length | None = None
    """Radius of the arc about the pivot that it runs along, at half its height; none: straight."""
    heads_in: bool = False
    """Along an arc: heads toward the pivot, for the lower half of a dial."""


class FixingHoles(Part):
    """Equal holes, evenly spaced on a circle about the pivot."""

    count: Annotated[int, Field(ge=1, le=24)]
    pitch_circle_mm: Length
    """Diameter of the circle on which their centres lie."""
    diameter_mm: Length
    first_deg: DialAngle = 0.0


class ScaleBreak(Part):
    """A part of the scale that is left out: no graduations there, and two strokes across the base arc."""

    low_value: Quantity
    high_value: Quantity


class SecondScale(Part):
    """A second ring in another unit: its value is ``factor`` times that of the first, plus ``offset``."""

    factor: Quantity = 1.0
    offset: Quantity = 0.0
    graduations: Graduations
    numerals: Numerals | None = None
    ink_colour: Colour | None = None

    @field_validator("factor")
    @classmethod
    def _converts(cls, factor: float) -> float:
        if factor == 0.0:
            raise ValueError("a factor of 0 converts every value to the same one")
        return factor


class Marking(Enum):
    """How the marks get onto the face."""

    PRINT = "print"  #: ink on paper or film, on a printed ground
    ENGRAVE = "engrave"  #: taken out of the surface
    SCORE = "score"  #: lines only; coloured areas become outlines


class TipRule(Enum):
    """Where the pointer's tip ends; two published conventions contradict each other, so it is a choice."""

    TO_MARKS = "to_marks"  #: reaches the shortest graduations without covering them
    OVER_MARKS = "over_marks"  #: covers the inner ends of the graduations, which project beyond it


class Face(Part):
    """The disc the user reads."""

    diameter_mm: Length
    bezel_mm: LengthOrZero = 0.0
    """Width of the edge that the bezel covers, all round."""
    centre_hole_mm: LengthOrZero = 0.0
    """Diameter of the hole for the arbor; 0 for none."""
    fixing_holes: FixingHoles | None = None
    scale: Scale
    graduations: Graduations
    numerals: Numerals | None = None
    sectors: Annotated[tuple[Sector, ...], Field(max_length=100)] = ()
    detent_marks: Annotated[tuple[DetentMark, ...], Field(max_length=100)] = ()
    legends: Annotated[tuple[Legend, ...], Field(max_length=100)] = ()
    ground_colour: Colour = "#ffffff"
    ink_colour: Colour = "#000000"
    marking: Marking = Marking.PRINT
    viewing_distance_mm: Annotated[float, Field(ge=100, le=5000)] = 700.0
    eye_offset_mm: LengthOrZero = 0.0
    """How far beside the pivot's axis the eye is, at the viewing distance; 0: straight in front."""
    tip_rule: TipRule = TipRule.TO_MARKS
    second: SecondScale | None = None
    limit_lines: Annotated[tuple[LimitLine, ...], Field(max_length=100)] = ()
    index_triangles: Annotated[tuple[IndexTriangle, ...], Field(max_length=100)] = ()
    lubber_line: LubberLine | None = None
    apertures: Annotated[tuple[Aperture, ...], Field(max_length=24)] = ()
    icons: Annotated[tuple[Icon, ...], Field(max_length=24)] = ()
    font_file: Annotated[str, Field(max_length=1000)] = ""
    """Path of a TTF or OTF file whose outlines are used, whole or below the panel's folder;
    empty: single strokes."""
    breaks: Annotated[tuple[ScaleBreak, ...], Field(max_length=10)] = ()
