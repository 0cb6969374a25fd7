"""A first panel: one plain dial that works, or one with a preset's face, to be made into one's own."""

from __future__ import annotations

from typing import Final

from gaugecore.face.face import Face, FixingHoles, Graduations, GraduationStyle, Legend, Numerals
from gaugecore.face.presets import preset
from gaugecore.face.scale import LinearScale, MultiTurnScale, angle_range_deg, value_range
from gaugecore.movement.library import GENERIC
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.panel.document import Instrument, Panel, RawInput

#: A title holds no more than this.
_LONGEST_TITLE: Final = 200
#: Beyond the ends of the scale a servo needs some travel, so that both can be read past.
_SPARE_DEG: Final = 15.0
#: A blade ends this far before the marks it must not cover.
_SHORT_OF_MARKS_MM: Final = 0.2
#: What the scales of the presets count.
_UNITS: Final = {"round": "%", "quadrant": "A", "duplex": "kn", "multi-turn": "l", "compass": "°"}


def starter_panel(title: str) -> Panel:
    """Return a panel with one round indicator of 60 mm that a 180° servo carries directly."""
    return Panel(title=_plain(title), instruments=(_plain_dial(),))


def preset_panel(title: str, name: str) -> Panel:
    """Return a panel with one dial that has a preset's face, and a needle and movement that suit it.

    Raises
    ------
    DesignError
        If there is no preset of this name.
    """
    face = preset(name)
    low, high = value_range(face.scale)
    dial = _plain_dial().model_copy(
        update={
            "title": f"{name.replace('-', ' ').capitalize()} 1",
            "unit": _UNITS.get(name, ""),
            "raw": RawInput(low_value=low, high_value=high),
            "face": face,
            "movement": _movement_for(face),
            **_pointers_for(face),
        }
    )
    return Panel(title=_plain(title), instruments=(dial,))


def _plain(title: str) -> str:
    """Return a title on one line, no longer than a title may be."""
    return "".join(c if c.isprintable() else " " for c in title)[:_LONGEST_TITLE]


def _movement_for(face: Face) -> Servo | Stepper:
    low_deg, high_deg = angle_range_deg(face.scale)
    arc_deg = high_deg - low_deg
    servo, gauge = Servo(), GENERIC["gauge-stepper-315"]
    if arc_deg <= servo.travel_deg - 2.0 * _SPARE_DEG:
        return servo
    if arc_deg <= gauge.travel_deg:
        return gauge
    return gauge.model_copy(
        update={"name": "gauge stepper, no stop", "has_stop": False, "travel_deg": max(360.0, arc_deg)}
    )


def _pointers_for(face: Face) -> dict[str, Pointer]:
    """Return the needle as long as the shortest graduations let it be, and a slow one where it is geared."""
    rings = face.graduations
    shortest = rings.major if rings.minor_step is None else rings.minor
    length_mm = round(rings.outer_radius_mm - shortest.length_mm - _SHORT_OF_MARKS_MM, 1)
    needle = Pointer(length_mm=length_mm, tail_mm=8.0, tip_width_mm=0.3, gap_mm=1.0)
    if not isinstance(face.scale, MultiTurnScale) or face.scale.slow_pointer_ratio is None:
        return {"pointer": needle}
    slow = Pointer(
        length_mm=round(0.66 * length_mm, 1),
        tail_mm=0.0,
        tip_width_mm=0.6,
        blade_width_mm=4.0,
        thickness_mm=1.0,
        gap_mm=0.3,
    )
    return {"pointer": needle.model_copy(update={"gap_mm": 1.6}), "slow_pointer": slow}


def _plain_dial() -> Instrument:
    face = Face(
        diameter_mm=60.0,
        bezel_mm=1.5,
        centre_hole_mm=6.0,
        fixing_holes=FixingHoles(count=2, pitch_circle_mm=44.0, diameter_mm=2.2, first_deg=90.0),
        # less than the servo's 180°, so that both ends can be reached and read past
        scale=LinearScale(low_value=0, high_value=100, low_deg=-75, high_deg=75),
        graduations=Graduations(
            outer_radius_mm=28.0,
            major_step=20,
            intermediate_step=10,
            minor_step=5,
            major=GraduationStyle(length_mm=3.6, width_mm=0.7),
            intermediate=GraduationStyle(length_mm=2.9, width_mm=0.55),
            minor=GraduationStyle(length_mm=2.2, width_mm=0.4),
        ),
        # far enough out that 40 and 60 do not read as one
        numerals=Numerals(radius_mm=18.2, height_mm=4.1, stroke_mm=0.69),
        legends=(Legend(text="%", y_mm=-12.0, height_mm=4.2, stroke_mm=0.55),),
    )
    return Instrument(
        id="dial-1",
        title="Dial 1",
        unit="%",
        raw=RawInput(low_value=0, high_value=100),
        face=face,
        pointer=Pointer(length_mm=25.6, tail_mm=8.0, tip_width_mm=0.4, gap_mm=1.2),
    )
