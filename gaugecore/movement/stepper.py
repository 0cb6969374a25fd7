"""A stepper as a movement."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from gaugecore.values import Caption, Current, DialAngle, Part


class Stepper(Part):
    """A stepper, commanded by step count from its home. Catalogue figures are typical: measure yours."""

    kind: Literal["stepper"] = "stepper"
    name: Caption = "gauge stepper, 315°"
    steps_per_turn: Annotated[float, Field(gt=0, le=1_000_000)] = 1080.0
    """Full steps a turn of the output shaft (1/3° a step: several public firmware sources)."""
    microsteps: Annotated[int, Field(ge=1, le=256)] = 1
    travel_deg: Annotated[DialAngle, Field(gt=0)] = 315.0
    """Turn between the end stops, or the turn that is used."""
    has_stop: bool = True
    """Whether it can be homed by driving gently into a stop."""
    clockwise_with_steps: bool = True
    most_steps_per_s: Annotated[float, Field(gt=0, le=1_000_000)] = 600.0
    torque_mnm: Annotated[float, Field(gt=0, le=100_000)] = 1.0
    supply_v: Annotated[float, Field(gt=0, le=60)] = 5.0
    coil_ohm: Annotated[float, Field(gt=0, le=100_000)] = 260.0
    coil_ma: Current = 19.2
    measured: bool = False
    """False: typical figures, measure yours."""
