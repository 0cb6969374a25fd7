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
    step_us: Annotated[float, Field(gt=0, le=100)] = 0.5
    """Smallest change of pulse the board sends; half a microsecond is a 16 MHz timer divided by 8."""
    slack_deg: Annotated[DialAngle, Field(ge=0, le=45)] = 1.0
    """Slack of the servo's own gears at its shaft; common practice, no source: up to 2° in small ones."""
    nonlinearity_deg: Annotated[DialAngle, Field(ge=0, le=90)] = 3.0
    """Largest departure of the shaft from a straight line over its pulses; calibration takes it out."""
    seconds_per_60_deg: Annotated[float, Field(gt=0, le=10)] = 0.12
    run_up_s: Annotated[float, Field(ge=0.0005, le=10)] = 0.02
    """Time from rest to full speed with nothing on the shaft; stands for the motor's inertia."""
    torque_mnm: Annotated[float, Field(gt=0, le=100_000)] = 150.0
    """Stall torque at ``supply_v``."""
    supply_v: Annotated[float, Field(gt=0, le=60)] = 5.0
    """The voltage at which speed, torque and currents hold."""
    idle_ma: Current = 10.0
    moving_ma: Current = 150.0
    moving_worst_ma: Current | None = None
    """The most it draws while it turns against a load; none: half way from moving to stall."""
    stall_ma: Current = 700.0
    measured: bool = False
    """False: typical figures, measure yours."""
    source: Caption = "typical, measure yours"
    """Where the figures come from."""

    @model_validator(mode="after")
    def _has_travel(self) -> Self:
        if not self.pulse_min_us < self.pulse_max_us:
            raise ValueError(
                f"pulse_min_us {self.pulse_min_us:g} must be below pulse_max_us {self.pulse_max_us:g}"
            )
        return self

    @property
    def us_per_deg(self) -> float:
        """Return the pulse width that turns the shaft by one degree, on average."""
        return (self.pulse_max_us - self.pulse_min_us) / self.travel_deg

    @property
    def command_step_deg(self) -> float:
        """Return the turn of the shaft for the smallest change of command."""
        return self.step_us / self.us_per_deg

    @property
    def dead_band_deg(self) -> float:
        """Return the dead band as a turn of the shaft."""
        return self.dead_band_us / self.us_per_deg

    @property
    def most_deg_per_s(self) -> float:
        """Return the speed of the shaft with nothing on it."""
        return 60.0 / self.seconds_per_60_deg

    @property
    def draws_by_coils(self) -> bool:
        """Return whether its currents follow from its coils, and are no figures of their own."""
        return False

    @property
    def worst_moving_ma(self) -> float:
        """Return the most it draws while it turns."""
        if self.moving_worst_ma is not None:
            return max(self.moving_ma, self.moving_worst_ma)
        return max(self.moving_ma, (self.moving_ma + self.stall_ma) / 2.0)

    @property
    def pin_ma(self) -> float:
        """Return what the movement draws from each pin of the microcontroller: a signal, next to nothing."""
        return 0.0

    @property
    def pins(self) -> int:
        """Return how many pins it takes."""
        return 1
