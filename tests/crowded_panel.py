"""A panel for tests that want faults: a crowded dial of 270° that a 180° servo cannot carry."""

from __future__ import annotations

from gaugecore.face.face import Face, FixingHoles, Graduations, Legend, Numerals
from gaugecore.face.scale import LinearScale
from gaugecore.movement.pointer import Pointer
from gaugecore.panel.document import Instrument, Panel, RawInput


def crowded_panel(title: str) -> Panel:
    """Return the panel; its numerals 20 and 80 run into the fixing holes."""
    face = Face(
        diameter_mm=60.0,
        centre_hole_mm=6.0,
        fixing_holes=FixingHoles(count=2, pitch_circle_mm=40.0, diameter_mm=2.2, first_deg=90.0),
        # 270° is the usual scale angle of EN 837-1; the gap is at six o'clock
        scale=LinearScale(low_value=0, high_value=100, low_deg=-135, high_deg=135),
        graduations=Graduations(outer_radius_mm=27.5, major_step=10, intermediate_step=5, minor_step=1),
        numerals=Numerals(radius_mm=18.0, height_mm=3.6, step=20),
        legends=(Legend(text="%", y_mm=-13.0, height_mm=4.0),),
    )
    dial = Instrument(
        id="dial-1",
        title="Dial 1",
        unit="%",
        raw=RawInput(low_value=0, high_value=100),
        face=face,
        pointer=Pointer(length_mm=23.5, tail_mm=8.0),
    )
    return Panel(title=title, instruments=(dial,))
