"""A stepper as a movement."""

from __future__ import annotations

from enum import Enum
from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from gaugecore.values import Caption, Current, DialAngle, Part

StepRate = Annotated[float, Field(gt=0, le=1_000_000)]
"""Full steps a second."""
Torque = Annotated[float, Field(gt=0, le=100_000)]
"""A torque in mN·m, more than zero."""


class CoilDrive(Enum):
    """What feeds the coils."""

    PINS = "pins"  #: the microcontroller's pins, four of them
    DRIVER = "driver"  #: a driver with its own supply pin; the microcontroller only gives signals


class Stepper(Part):
    """A stepper, commanded by step count from its home. Catalogue figures are typical: measure yours.

    A command counts microsteps: ``steps_per_turn`` times ``microsteps`` of them turn the shaft once.
    """

    kind: Literal["stepper"] = "stepper"
    name: Caption = "gauge stepper, 315°"
    steps_per_turn: StepRate = 1080.0
    """Full steps a turn of the output shaft (1/3° a step: several public firmware sources)."""
    microsteps: Annotated[int, Field(ge=1, le=256)] = 1
    travel_deg: Annotated[DialAngle, Field(gt=0)] = 315.0
    """Turn between the end stops, or the turn that is used."""
    has_stop: bool = True
    """Whether it can be homed by driving gently into a stop."""
    home_steps_per_s: StepRate = 150.0
    """Speed of homing: slow, since it ends against the stop."""
    clockwise_with_steps: bool = True
    most_steps_per_s: StepRate = 600.0
    torque_mnm: Torque = 1.0
    """Holding torque at the output shaft."""
    torque_curve: Annotated[tuple[tuple[float, float], ...], Field(max_length=100)] = ()
    """(full steps a second, torque in mN·m) pairs with rising speed; none: a straight fall from
    ``torque_mnm`` at rest to a third of it at ``most_steps_per_s``, which is a careful guess."""
    inertia_gmm2: Annotated[float, Field(ge=0, le=1e9)] = 100.0
    """Inertia of rotor and gears as felt at the output shaft."""
    slack_deg: Annotated[DialAngle, Field(ge=0, le=45)] = 0.5
    """Slack of the movement's own gears at its shaft; 0 for a hybrid, which has none."""
    step_error_percent: Annotated[float, Field(ge=0, le=100)] = 5.0
    """How far a full step may be off, in percent of a step."""
    supply_v: Annotated[float, Field(gt=0, le=60)] = 5.0
    coil_ohm: Annotated[float, Field(gt=0, le=100_000)] = 260.0
    coil_ma: Current = 19.2
    drive: CoilDrive = CoilDrive.PINS
    holds: bool = True
    """Whether the coils stay energised at rest."""
    measured: bool = False
    """False: typical figures, measure yours."""
    source: Caption = "typical, measure yours"
    """Where the figures come from."""

    @model_validator(mode="after")
    def _curve_rises_in_speed(self) -> Self:
        for (rate, _), (next_rate, _) in pairwise(self.torque_curve):
            if not next_rate > rate:
                raise ValueError(f"speeds must rise along torque_curve, but {next_rate:g} follows {rate:g}")
        for rate, torque in self.torque_curve:
            if rate < 0 or torque < 0:
                raise ValueError(f"torque_curve has a negative entry: {rate:g} steps/s, {torque:g} mN·m")
        return self

    @property
    def deg_per_step(self) -> float:
        """Return the turn of the shaft for a full step."""
        return 360.0 / self.steps_per_turn

    @property
    def command_step_deg(self) -> float:
        """Return the turn of the shaft for the smallest change of command, one microstep."""
        return self.deg_per_step / self.microsteps

    @property
    def dead_band_deg(self) -> float:
        """Return how far a step may be off; a stepper has no dead band, but its steps are not equal."""
        return self.deg_per_step * self.step_error_percent / 100.0

    @property
    def most_deg_per_s(self) -> float:
        """Return the largest speed of the shaft."""
        return self.most_steps_per_s * self.deg_per_step

    @property
    def moving_ma(self) -> float:
        """Return the current with two coils energised."""
        return 2.0 * self.coil_ma

    @property
    def idle_ma(self) -> float:
        """Return the current at rest."""
        return self.moving_ma if self.holds else 0.0

    @property
    def stall_ma(self) -> float:
        """Return the current when the needle is held: a stepper draws no more than when it turns."""
        return self.moving_ma

    @property
    def draws_by_coils(self) -> bool:
        """Return whether its currents follow from its coils, and are no figures of their own."""
        return True

    @property
    def worst_moving_ma(self) -> float:
        """Return the most it draws while it turns."""
        return self.moving_ma

    @property
    def pin_ma(self) -> float:
        """Return what the movement draws from each pin of the microcontroller."""
        return self.coil_ma if self.drive is CoilDrive.PINS else 0.0

    @property
    def pins(self) -> int:
        """Return how many pins it takes: four coil ends, or step and direction."""
        return 4 if self.drive is CoilDrive.PINS else 2
