"""A hobby servo as a movement: what it can do, by its catalogue or by measurement."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from gaugecore.values import Caption, Current, DialAngle, Part

PulseWidth = Annotated[float, Field(ge=300, le=3000)]
"""A pulse width in µs. Usable pulses reach from about 300 to 2500 µs (reference: university notes on the
theory of R/C servos); nothing wider is ever sent."""


class Servo(Part):
    """A servo, commanded by pulse width. Catalogue figures are typical: measure yours."""

    kind: Literal["servo"] = "servo"
    name: Caption = "9 g class analogue servo"
    pulse_min_us: PulseWidth = 600.0
    pulse_max_us: PulseWidth = 2400.0
    travel_deg: Annotated[DialAngle, Field(gt=0)] = 180.0
    """Turn of the output shaft between the two pulse limits."""
    clockwise_with_pulse: bool = False
    """Whether a wider pulse turns the shaft clockwise, seen from the face."""
    dead_band_us: Annotated[float, Field(ge=0, le=100)] = 8.0
    seconds_per_60_deg: Annotated[float, Field(gt=0, le=10)] = 0.12
    torque_mnm: Annotated[float, Field(gt=0, le=100_000)] = 150.0
    supply_v: Annotated[float, Field(gt=0, le=60)] = 5.0
    idle_ma: Current = 10.0
    moving_ma: Current = 150.0
    stall_ma: Current = 700.0
    measured: bool = False
    """False: typical figures, measure yours."""

    @model_validator(mode="after")
    def _has_travel(self) -> Self:
        if not self.pulse_min_us < self.pulse_max_us:
            raise ValueError(
                f"pulse_min_us {self.pulse_min_us:g} must be below pulse_max_us {self.pulse_max_us:g}"
            )
        return self
