"""The train: what lies between movement and pointer.

Shaft angles are in degrees, clockwise positive seen from the face, zero where the movement stands in the
middle of its travel; the pointer's shaft angle is counted from where it stands then.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from gaugecore.movement.four_bar import FourBar
from gaugecore.values import DialAngle, Length, Part

#: Two figures for one ratio may differ by rounding, not by a tooth.
_RATIO_TOLERANCE = 1e-3


class Direct(Part):
    """The pointer sits on the movement's shaft."""

    kind: Literal["direct"] = "direct"


class GearPair(Part):
    """Two gears: the pointer turns ``ratio`` times as far as the movement, the other way round."""

    kind: Literal["gear_pair"] = "gear_pair"
    ratio: Annotated[float, Field(gt=0, le=100)]
    slack_deg: Annotated[DialAngle, Field(ge=0, le=45)] = 0.5
    """Slack at the pointer; typical, measure yours."""
    idler: bool = False
    """Whether an idler gear between the two makes the pointer turn the same way as the movement."""
    movement_teeth: Annotated[int, Field(ge=4, le=400)] | None = None
    pointer_teeth: Annotated[int, Field(ge=4, le=400)] | None = None
    """Teeth of the two gears; none: not chosen yet, and no gears are drawn."""
    module_mm: Annotated[float, Field(gt=0, le=10)] = 1.0
    """Pitch diameter by teeth; below about 0.8 mm laser-cut teeth lose their shape (common practice)."""
    pressure_angle_deg: Annotated[float, Field(ge=10, le=30)] = 20.0

    @model_validator(mode="after")
    def _teeth_make_the_ratio(self) -> Self:
        if (self.movement_teeth is None) != (self.pointer_teeth is None):
            raise ValueError("movement_teeth and pointer_teeth go together; give both or neither")
        if self.movement_teeth is not None and self.pointer_teeth is not None:
            made = self.movement_teeth / self.pointer_teeth
            if abs(made - self.ratio) > _RATIO_TOLERANCE * self.ratio:
                raise ValueError(
                    f"ratio {self.ratio:g} is not what {self.movement_teeth} teeth on the movement and "
                    f"{self.pointer_teeth} on the pointer make, which is {made:.4g}"
                )
        return self


class CrankLink(Part):
    """A crank on the movement, a link, and an arm on the pointer's shaft: a four-bar."""

    kind: Literal["crank_link"] = "crank_link"
    ground_mm: Length
    """From the movement's shaft to the pointer's shaft."""
    crank_mm: Length
    """Arm on the movement's shaft."""
    link_mm: Length
    """Rod from the end of the crank to the end of the pointer's arm."""
    arm_mm: Length
    """Arm on the pointer's shaft."""
    crank_deg: DialAngle = 90.0
    """Where the crank points when the movement stands mid-travel, clockwise from the line that runs from
    the movement's shaft to the pointer's."""
    crossed: bool = False
    """Which of the two ways to assemble it: whether link and arm lie on the other side."""
    play_mm: Annotated[float, Field(ge=0, le=5)] = 0.1
    """Play in each of the two link ends, typical: measure yours."""

    @model_validator(mode="after")
    def _can_be_assembled(self) -> Self:
        bars = sorted(
            (
                (self.ground_mm, "ground_mm"),
                (self.crank_mm, "crank_mm"),
                (self.link_mm, "link_mm"),
                (self.arm_mm, "arm_mm"),
            ),
            reverse=True,
        )
        (longest_mm, name), rest_mm = bars[0], sum(length for length, _ in bars[1:])
        if longest_mm >= rest_mm:
            raise ValueError(
                f"the four-bar cannot be assembled: {name} {longest_mm:g} mm is not shorter than the other "
                f"three together, {rest_mm:g} mm"
            )
        if self.linkage.arm_deg(self.crank_deg) is None:
            reach_mm = self.linkage.diagonal_mm(self.crank_deg)
            shortest_mm, longest_mm = abs(self.link_mm - self.arm_mm), self.link_mm + self.arm_mm
            raise ValueError(
                f"the four-bar cannot be assembled with the crank at {self.crank_deg:g}°: its end is then "
                f"{reach_mm:.1f} mm from the pointer's shaft, and link and arm span {shortest_mm:g} mm to "
                f"{longest_mm:g} mm"
            )
        return self

    @property
    def linkage(self) -> FourBar:
        """Return the geometry."""
        return FourBar(
            ground_mm=self.ground_mm,
            crank_mm=self.crank_mm,
            link_mm=self.link_mm,
            arm_mm=self.arm_mm,
            crossed=self.crossed,
        )


Train = Annotated[Direct | GearPair | CrankLink, Field(discriminator="kind")]


def pointer_deg(train: Direct | GearPair | CrankLink, movement_deg: float) -> float | None:
    """Return how far the pointer has turned when the movement has; None where a link does not reach.

    Examples
    --------
    >>> pointer_deg(GearPair(ratio=1.5), 60.0)
    -90.0
    >>> pointer_deg(Direct(), 60.0)
    60.0
    """
    match train:
        case Direct():
            return movement_deg
        case GearPair():
            return movement_deg * train.ratio * (1.0 if train.idler else -1.0)
        case CrankLink():
            return train.linkage.turn_deg(train.crank_deg, train.crank_deg + movement_deg)


def slope(train: Direct | GearPair | CrankLink, movement_deg: float) -> float | None:
    """Return the turn of the pointer by that of the movement, with its sign; None where it does not move.

    Examples
    --------
    >>> slope(GearPair(ratio=1.5, idler=True), 0.0)
    1.5
    """
    match train:
        case Direct():
            return 1.0
        case GearPair():
            return train.ratio if train.idler else -train.ratio
        case CrankLink():
            return train.linkage.velocity_ratio(train.crank_deg + movement_deg)


def slack_at_pointer_deg(train: Direct | GearPair | CrankLink) -> float:
    """Return the slack that the train itself adds, at the pointer.

    For a link the play of both its ends, taken across the arm at the middle of travel.
    """
    match train:
        case Direct():
            return 0.0
        case GearPair():
            return train.slack_deg
        case CrankLink():
            return train.linkage.slack_deg(train.crank_deg, 2.0 * train.play_mm)
