"""The pointer: tip, blade, boss and tail, as dimensions."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from gaugecore.values import Colour, Length, LengthOrZero, Part


class Pointer(Part):
    """A flat needle that turns about its boss."""

    length_mm: Length
    """Pivot to tip."""
    tail_mm: LengthOrZero = 0.0
    """Pivot to the end of the tail; 0 for no tail."""
    tip_width_mm: Length = 0.6
    blade_width_mm: Length = 2.4
    """Width of the blade where it leaves the boss."""
    tail_width_mm: Length = 3.0
    boss_diameter_mm: Length = 8.0
    bore_mm: LengthOrZero = 2.0
    thickness_mm: Length = 1.5
    density_kg_m3: Annotated[float, Field(gt=0, le=25_000)] = 1190.0
    """Cast acrylic 1190 kg/m³, from memory."""
    boss_mass_g: Annotated[float, Field(ge=0, le=1000)] = 0.0
    """What sits on the shaft besides the pointer itself: hub, screw. It adds mass, not unbalance."""
    counterweight_g: Annotated[float, Field(ge=0, le=1000)] = 0.0
    """A weight on the tail, taken as a point."""
    counterweight_at_mm: LengthOrZero = 0.0
    """Its distance behind the pivot."""
    friction_mnm: Annotated[float, Field(ge=0, le=1000)] = 0.0
    """Friction of the pointer's own bearing, when it has one."""
    gap_mm: LengthOrZero = 1.5
    """Height of the pointer above the face."""
    colour: Colour = "#c8321e"
