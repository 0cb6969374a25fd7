"""The kinds of scale: how an indicated value and a dial angle belong together, as the user says it."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from gaugecore.values import DialAngle, Part, Quantity

#: A needle that goes round more than once needs a scale that says so.
ONE_TURN_DEG = 360.0
#: Most turns of a multi-turn dial.
MOST_TURNS = 100.0

Points = Annotated[tuple[tuple[Quantity, DialAngle], ...], Field(min_length=2, max_length=200)]


class LinearScale(Part):
    """Value and dial angle in proportion; ``low_deg`` above ``high_deg`` runs counter-clockwise."""

    kind: Literal["linear"] = "linear"
    low_value: Quantity
    high_value: Quantity
    low_deg: DialAngle
    high_deg: DialAngle

    @model_validator(mode="after")
    def _can_be_read(self) -> Self:
        check_points(self.points)
        return self

    @property
    def points(self) -> tuple[tuple[float, float], ...]:
        """Return the (value, dial angle) pairs at the ends."""
        return ((self.low_value, self.low_deg), (self.high_value, self.high_deg))


class PiecewiseScale(Part):
    """Straight pieces through (value, dial angle) pairs, values rising, angles all one way."""

    kind: Literal["piecewise"] = "piecewise"
    points: Points

    @model_validator(mode="after")
    def _can_be_read(self) -> Self:
        check_points(self.points)
        return self


class LogarithmicScale(Part):
    """Equal ratios of values on equal angles."""

    kind: Literal["logarithmic"] = "logarithmic"
    low_value: Annotated[Quantity, Field(gt=0)] = 1.0
    high_value: Annotated[Quantity, Field(gt=0)] = 100.0
    low_deg: DialAngle = -120.0
    high_deg: DialAngle = 120.0

    @model_validator(mode="after")
    def _can_be_read(self) -> Self:
        check_points(self.points)
        return self

    @property
    def points(self) -> tuple[tuple[float, float], ...]:
        """Return the (value, dial angle) pairs at the ends."""
        return ((self.low_value, self.low_deg), (self.high_value, self.high_deg))


class PowerScale(Part):
    """The angle from the low end grows with a power of the value above the low end.

    0.5 is a square-root scale, wide at the low end; 2 is a square-law scale, wide at the high end.
    """

    kind: Literal["power"] = "power"
    exponent: Annotated[float, Field(ge=0.1, le=10)] = 0.5
    low_value: Quantity = 0.0
    high_value: Quantity = 100.0
    low_deg: DialAngle = -120.0
    high_deg: DialAngle = 120.0

    @model_validator(mode="after")
    def _can_be_read(self) -> Self:
        check_points(self.points)
        return self

    @property
    def points(self) -> tuple[tuple[float, float], ...]:
        """Return the (value, dial angle) pairs at the ends."""
        return ((self.low_value, self.low_deg), (self.high_value, self.high_deg))


class TableScale(Part):
    """A smooth curve through (value, dial angle) pairs that never turns round between them."""

    kind: Literal["table"] = "table"
    points: Points = ((0.0, -120.0), (50.0, 30.0), (100.0, 120.0))

    @model_validator(mode="after")
    def _can_be_read(self) -> Self:
        check_points(self.points)
        return self


class CircularScale(Part):
    """A scale that goes all round and begins again, as on a compass."""

    kind: Literal["circular"] = "circular"
    low_value: Quantity = 0.0
    high_value: Quantity = 360.0
    """The value at which the scale has come round to ``low_value`` again."""
    low_deg: DialAngle = 0.0
    clockwise: bool = True

    @model_validator(mode="after")
    def _can_be_read(self) -> Self:
        check_points(self.points)
        return self

    @property
    def points(self) -> tuple[tuple[float, float], ...]:
        """Return the (value, dial angle) pairs at both ends, a whole turn apart."""
        turn_deg = ONE_TURN_DEG if self.clockwise else -ONE_TURN_DEG
        return ((self.low_value, self.low_deg), (self.high_value, self.low_deg + turn_deg))


class MultiTurnScale(Part):
    """A needle that goes round several times over the same graduations."""

    kind: Literal["multi_turn"] = "multi_turn"
    low_value: Quantity = 0.0
    high_value: Quantity = 10_000.0
    value_per_turn: Annotated[Quantity, Field(gt=0)] = 1000.0
    low_deg: DialAngle = 0.0
    clockwise: bool = True
    slow_pointer_ratio: Annotated[float, Field(gt=1, le=1000)] | None = None
    """Turns of the needle for one turn of a second, slower one on the same arbor; none: only one needle."""

    @model_validator(mode="after")
    def _can_be_read(self) -> Self:
        check_points(self.points, most_deg=MOST_TURNS * ONE_TURN_DEG)
        return self

    @property
    def points(self) -> tuple[tuple[float, float], ...]:
        """Return the (value, dial angle) pairs at both ends; angles run on past a turn."""
        turn_deg = ONE_TURN_DEG if self.clockwise else -ONE_TURN_DEG
        turns = (self.high_value - self.low_value) / self.value_per_turn
        return ((self.low_value, self.low_deg), (self.high_value, self.low_deg + turns * turn_deg))


AnyScale = (
    LinearScale | PiecewiseScale | LogarithmicScale | PowerScale | TableScale | CircularScale | MultiTurnScale
)
Scale = Annotated[AnyScale, Field(discriminator="kind")]


def check_points(points: tuple[tuple[float, float], ...], *, most_deg: float = ONE_TURN_DEG) -> None:
    """Refuse points that no scale can be read from.

    Raises
    ------
    ValueError
        If values do not rise, angles turn round or repeat, or the arc is longer than allowed.
    """
    for (value, deg), (next_value, next_deg) in pairwise(points):
        if not next_value > value:
            raise ValueError(f"values must rise along a scale, but {next_value:g} follows {value:g}")
        if next_deg == deg:
            raise ValueError(
                f"the values {value:g} and {next_value:g} share the dial angle {deg:g}°; each needs its own"
            )
    angles = [deg for _, deg in points]
    rising = [b > a for a, b in pairwise(angles)]
    if any(rising) and not all(rising):
        raise ValueError(
            "dial angles must run all one way along a scale, but they turn round at "
            f"{points[rising.index(not rising[0])][0]:g}"
        )
    span_deg = abs(angles[-1] - angles[0])
    if span_deg > most_deg:
        limit = (
            f"a single-turn dial has at most {most_deg:g}°"
            if most_deg == ONE_TURN_DEG
            else f"a multi-turn dial has at most {most_deg / ONE_TURN_DEG:g} turns"
        )
        raise ValueError(f"the arc from {angles[0]:g}° to {angles[-1]:g}° spans {span_deg:g}°; {limit}")
