"""The fit as a value: the calibrated map between dial angle and command, with its uncertainty.

This is the contract that everything downstream reads: the table, the drive, the record, the window. Between
knots the map is linear. Outside its angles it is refused, or clamped by name; it never extrapolates, since
beyond the last reading there may be a mechanical stop.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import Field, model_validator

from gaugecore.calibration.readings import Direction
from gaugecore.errors import FitError
from gaugecore.values import Part

#: Fewest knots a fit may have, so that a straight line between two of them is honest.
FEWEST_KNOTS = 33
#: 95 % of a normal distribution lie within this many standard deviations.
BAND = 1.96

# of a million wrong numbers the first one says enough
_Numbers = Annotated[tuple[float, ...], Field(max_length=100_000, fail_fast=True)]
_Spread = Annotated[float, Field(ge=0)]


class Knots(Part):
    """The map, knot by knot; all four have the same length.

    Attributes
    ----------
    angle_deg : tuple of float
        Dial angles, strictly increasing.
    command_up, command_down : tuple of float
        The command that puts the needle on the angle when it arrives with rising (falling) dial angle.
    standard_uncertainty_deg : tuple of float
        How far off, one standard uncertainty, the needle may be there.
    """

    angle_deg: Annotated[_Numbers, Field(min_length=FEWEST_KNOTS)]
    command_up: _Numbers
    command_down: _Numbers
    standard_uncertainty_deg: Annotated[tuple[_Spread, ...], Field(max_length=100_000, fail_fast=True)]


class Reversal(Part):
    """Lost motion: the mean angle arriving from above minus from below at one command, or null."""

    value: float | None
    standard_uncertainty: _Spread | None


class SuspectRow(Part):
    """A row that the fit does not believe."""

    row: int
    residual_deg: float
    reason: str


class Fit(Part):
    """The calibrated map of one dial. Field names are the file format of design contract 6."""

    kind: Literal["servo", "stepper"]
    command_range: tuple[float, float]
    angle_range_deg: tuple[float, float]
    knots: Knots
    reversal_deg: Reversal
    repeatability_deg: _Spread | None
    suspect_rows: Annotated[tuple[SuspectRow, ...], Field(max_length=100_000, fail_fast=True)] = ()
    figures: dict[str, Any] = Field(default_factory=dict)
    warnings: Annotated[tuple[str, ...], Field(max_length=1000, fail_fast=True)] = ()

    @model_validator(mode="after")
    def _is_a_map(self) -> Self:
        knots = self.knots
        n = len(knots.angle_deg)
        for name in ("command_up", "command_down", "standard_uncertainty_deg"):
            if len(getattr(knots, name)) != n:
                raise ValueError(f"knots.{name} has {len(getattr(knots, name))} entries, angle_deg has {n}")
        _check_one_way("knots.angle_deg", knots.angle_deg, rising=True)
        rising = knots.command_up[-1] > knots.command_up[0]
        _check_one_way("knots.command_up", knots.command_up, rising=rising)
        _check_one_way("knots.command_down", knots.command_down, rising=rising)
        if (knots.angle_deg[0], knots.angle_deg[-1]) != self.angle_range_deg:
            raise ValueError("angle_range_deg must be the first and the last knot")
        # the only figure that anything is worked out from; the others are for people
        if not isinstance(self.figures.get("readings", 0), int):
            raise ValueError("figures.readings must be a whole number")
        return self

    def commands(
        self, angle_deg: ArrayLike, direction: Direction, *, clamp: bool = False
    ) -> NDArray[np.float64]:
        """Return the commands that put the needle on dial angles.

        Parameters
        ----------
        angle_deg : array_like, shape (n,)
            Dial angles.
        direction : Direction
            How the needle arrives; UNKNOWN takes the middle of both.
        clamp : bool
            Whether angles outside the calibrated arc move to its nearest end.

        Returns
        -------
        ndarray, shape (n,)
            Commands, in µs or steps.

        Raises
        ------
        FitError
            If an angle lies outside the calibrated arc and ``clamp`` is false.
        """
        angles = np.atleast_1d(np.asarray(angle_deg, dtype=np.float64))
        low, high = self.angle_range_deg
        outside = ~((angles >= low) & (angles <= high))
        if clamp and not np.isnan(angles).any():
            angles = np.clip(angles, low, high)
        elif outside.any():
            raise FitError(
                "a dial angle lies outside the calibrated arc",
                found=f"{angles[outside][0]:g}°",
                accepted=f"{low:g}° to {high:g}°",
            )
        up = np.interp(angles, self.knots.angle_deg, self.knots.command_up)
        down = np.interp(angles, self.knots.angle_deg, self.knots.command_down)
        if direction is Direction.UP:
            return np.asarray(up)
        if direction is Direction.DOWN:
            return np.asarray(down)
        return np.asarray((up + down) / 2.0)

    def angles(self, command: ArrayLike, direction: Direction) -> NDArray[np.float64]:
        """Return where the needle comes to rest under commands, held to the calibrated arc's ends.

        Parameters
        ----------
        command : array_like, shape (n,)
            Commands, in µs or steps.
        direction : Direction
            How the needle arrives; UNKNOWN takes the middle of both.

        Returns
        -------
        ndarray, shape (n,)
            Dial angles in degrees.
        """
        commands = np.atleast_1d(np.asarray(command, dtype=np.float64))
        angle = np.asarray(self.knots.angle_deg)

        def inverse(branch: tuple[float, ...]) -> NDArray[np.float64]:
            along = np.asarray(branch)
            order = slice(None) if along[-1] > along[0] else slice(None, None, -1)
            return np.asarray(np.interp(commands, along[order], angle[order]))

        if direction is Direction.UP:
            return inverse(self.knots.command_up)
        if direction is Direction.DOWN:
            return inverse(self.knots.command_down)
        return (inverse(self.knots.command_up) + inverse(self.knots.command_down)) / 2.0


def _check_one_way(name: str, values: tuple[float, ...], *, rising: bool) -> None:
    steps = np.diff(np.asarray(values, dtype=np.float64)) * (1.0 if rising else -1.0)
    if not (steps > 0).all():
        row = int(np.argmin(steps > 0)) + 1
        raise ValueError(
            f"{name} must run one way, but knot {row} is {values[row]:g} after {values[row - 1]:g}"
        )
