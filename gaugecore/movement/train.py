"""The train: what lies between movement and pointer."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from gaugecore.values import DialAngle, Part


class Direct(Part):
    """The pointer sits on the movement's shaft."""

    kind: Literal["direct"] = "direct"


class GearPair(Part):
    """Two gears: the pointer turns ``ratio`` times as far as the movement, the other way round."""

    kind: Literal["gear_pair"] = "gear_pair"
    ratio: Annotated[float, Field(gt=0, le=100)]
    slack_deg: Annotated[DialAngle, Field(ge=0, le=45)] = 0.5
    """Slack at the pointer; typical, measure yours."""


Train = Annotated[Direct | GearPair, Field(discriminator="kind")]
