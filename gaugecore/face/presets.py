"""Faces to start from, named in plain trade words; sizes follow from the diameter.

Each is generic and finished: no rule of reading has more to say about it than a note.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from gaugecore.errors import DesignError
from gaugecore.face.face import (
    Ends,
    Face,
    Graduations,
    GraduationStyle,
    Legend,
    Numerals,
    SecondScale,
    Sector,
)
from gaugecore.face.scale import CircularScale, LinearScale, MultiTurnScale


def preset(name: str) -> Face:
    """Return a face to start from.

    Raises
    ------
    DesignError
        If there is none of this name.
    """
    made = _PRESETS.get(name)
    if made is None:
        raise DesignError("there is no such preset", found=name, accepted=", ".join(_PRESETS))
    return made()


def preset_names() -> tuple[str, ...]:
    """Return the names that `preset` takes."""
    return tuple(_PRESETS)


def _graduations(
    diameter_mm: float, *, major: float, intermediate: float | None, minor: float
) -> Graduations:
    """Return graduations just inside the edge, their sizes in proportion to an 80 mm dial's."""
    size = diameter_mm / 80.0
    return Graduations(
        outer_radius_mm=round(diameter_mm * 0.45, 1),
        major_step=major,
        intermediate_step=intermediate,
        minor_step=minor,
        major=GraduationStyle(length_mm=round(5.5 * size, 1), width_mm=round(0.8 * size, 2)),
        intermediate=GraduationStyle(length_mm=round(4.0 * size, 1), width_mm=round(0.55 * size, 2)),
        # no thinner than 0.32 mm, which is what a reader at arm's length needs
        minor=GraduationStyle(length_mm=round(2.6 * size, 1), width_mm=max(0.32, round(0.35 * size, 2))),
    )


def _round_indicator() -> Face:
    return Face(
        diameter_mm=60.0,
        bezel_mm=2.0,
        centre_hole_mm=6.0,
        # 270° is the usual scale angle of EN 837-1, the break at six o'clock
        scale=LinearScale(low_value=0.0, high_value=100.0, low_deg=-135.0, high_deg=135.0),
        graduations=_graduations(60.0, major=20.0, intermediate=10.0, minor=2.0),
        numerals=Numerals(radius_mm=17.5, height_mm=4.1, stroke_mm=0.69),
        legends=(Legend(text="%", y_mm=-14.0, height_mm=4.0),),
    )


def _centre_zero() -> Face:
    return Face(
        diameter_mm=80.0,
        bezel_mm=2.0,
        centre_hole_mm=6.0,
        scale=LinearScale(low_value=-30.0, high_value=30.0, low_deg=-120.0, high_deg=120.0),
        graduations=_graduations(80.0, major=10.0, intermediate=5.0, minor=1.0),
        numerals=Numerals(radius_mm=24.5, height_mm=4.5, stroke_mm=0.75, unsigned=True),
        sectors=(
            Sector(
                low_value=-30.0, high_value=-0.5, inner_radius_mm=36.4, outer_radius_mm=37.6, colour="#b00f1a"
            ),
            Sector(
                low_value=0.5, high_value=30.0, inner_radius_mm=36.4, outer_radius_mm=37.6, colour="#35a35a"
            ),
        ),
    )


def _quadrant() -> Face:
    return Face(
        diameter_mm=70.0,
        bezel_mm=2.0,
        centre_hole_mm=6.0,
        scale=LinearScale(low_value=0.0, high_value=30.0, low_deg=-50.0, high_deg=50.0),
        graduations=_graduations(70.0, major=10.0, intermediate=5.0, minor=1.0),
        numerals=Numerals(radius_mm=21.9, height_mm=4.1, stroke_mm=0.69),
        legends=(Legend(text="A", y_mm=-14.0, height_mm=5.0),),
    )


def _duplex() -> Face:
    inner = Graduations(
        outer_radius_mm=18.8,
        major_step=50.0,
        minor_step=10.0,
        aligned=Ends.INNER,
        major=GraduationStyle(length_mm=2.6, width_mm=0.5),
        minor=GraduationStyle(length_mm=1.7, width_mm=0.32),
    )
    return Face(
        diameter_mm=80.0,
        bezel_mm=2.0,
        centre_hole_mm=6.0,
        scale=LinearScale(low_value=0.0, high_value=120.0, low_deg=-135.0, high_deg=135.0),
        graduations=_graduations(80.0, major=20.0, intermediate=10.0, minor=2.0),
        numerals=Numerals(radius_mm=24.2, height_mm=4.1, stroke_mm=0.69),
        # one knot is 1.852 km/h, exactly
        second=SecondScale(
            factor=1.852,
            graduations=inner,
            numerals=Numerals(radius_mm=10.6, height_mm=3.3, stroke_mm=0.55),
            ink_colour="#1d4e89",
        ),
        legends=(
            Legend(text="kn", y_mm=-25.0, height_mm=3.2),
            Legend(text="km/h", y_mm=-13.5, height_mm=3.1, colour="#1d4e89"),
        ),
    )


def _multi_turn() -> Face:
    return Face(
        diameter_mm=80.0,
        bezel_mm=2.0,
        centre_hole_mm=6.0,
        scale=MultiTurnScale(high_value=10_000.0, value_per_turn=1000.0, slow_pointer_ratio=10.0),
        graduations=_graduations(80.0, major=100.0, intermediate=50.0, minor=10.0),
        numerals=Numerals(radius_mm=26.0, height_mm=5.0, stroke_mm=0.65, divisor=100.0),
        legends=(
            Legend(text="LITRES", y_mm=12.0, height_mm=3.2),
            Legend(text="× 100", y_mm=-12.0, height_mm=3.2),
        ),
        ground_colour="#141414",
        ink_colour="#f4f4e8",
    )


def _compass() -> Face:
    return Face(
        diameter_mm=80.0,
        bezel_mm=2.0,
        centre_hole_mm=6.0,
        scale=CircularScale(),
        graduations=_graduations(80.0, major=30.0, intermediate=10.0, minor=5.0),
        numerals=Numerals(
            radius_mm=24.3,
            height_mm=4.5,
            stroke_mm=0.65,
            divisor=10.0,
            texts=((0.0, "N"), (90.0, "E"), (180.0, "S"), (270.0, "W")),
        ),
        ground_colour="#141414",
        ink_colour="#f4f4e8",
    )


_PRESETS: Final[dict[str, Callable[[], Face]]] = {
    "round": _round_indicator,
    "centre-zero": _centre_zero,
    "quadrant": _quadrant,
    "duplex": _duplex,
    "multi-turn": _multi_turn,
    "compass": _compass,
}
