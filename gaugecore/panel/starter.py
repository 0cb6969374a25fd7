"""A first panel: one plain dial that works from 0 to 100, to be made into one's own."""

from __future__ import annotations

from gaugecore.face.face import Face, FixingHoles, Graduations, GraduationStyle, Legend, Numerals
from gaugecore.face.scale import LinearScale
from gaugecore.movement.pointer import Pointer
from gaugecore.panel.document import Instrument, Panel, RawInput


def starter_panel(title: str) -> Panel:
    """Return a panel with one round indicator of 60 mm that a 180° servo carries directly."""
    face = Face(
        diameter_mm=60.0,
        bezel_mm=1.5,
        centre_hole_mm=6.0,
        fixing_holes=FixingHoles(count=2, pitch_circle_mm=44.0, diameter_mm=2.2, first_deg=90.0),
        # less than the servo's 180°, so that both ends can be reached and read past
        scale=LinearScale(low_value=0, high_value=100, low_deg=-75, high_deg=75),
        graduations=Graduations(
            outer_radius_mm=27.0,
            major_step=10,
            minor_step=5,
            major=GraduationStyle(length_mm=5.0, width_mm=0.7),
            minor=GraduationStyle(length_mm=3.0, width_mm=0.4),
        ),
        numerals=Numerals(radius_mm=16.0, height_mm=4.2, stroke_mm=0.65, step=20),
        legends=(Legend(text="%", y_mm=-12.0, height_mm=4.2, stroke_mm=0.55),),
    )
    dial = Instrument(
        id="dial-1",
        title="Dial 1",
        unit="%",
        raw=RawInput(low_value=0, high_value=100),
        face=face,
        pointer=Pointer(length_mm=23.5, tail_mm=8.0, tip_width_mm=0.4, gap_mm=1.2),
    )
    return Panel(title=title, instruments=(dial,))
