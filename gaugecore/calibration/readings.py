"""Readings: what was seen at the needle."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from pydantic import Field

from gaugecore.values import Caption, Part, Quantity


class Direction(Enum):
    """From which side the needle arrived."""

    UP = "up"  #: with rising dial angle, clockwise, whatever the command did
    DOWN = "down"  #: with falling dial angle
    UNKNOWN = ""


class Held(Enum):
    """Which of the two was set; the other one was read."""

    COMMAND = "command"  #: the command was set, the angle read off the face
    ANGLE = "angle"  #: the needle was jogged onto a mark, the command noted
    UNKNOWN = ""


class Reading(Part):
    """One observation: the needle stood at ``angle_deg`` under ``command``."""

    command: Quantity
    angle_deg: Annotated[float, Field(ge=-36000, le=36000)]
    direction: Direction = Direction.UNKNOWN
    cycle: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    held: Held = Held.UNKNOWN
    note: Caption = ""
    excluded: Caption = ""
    """Why the user leaves it out of the fit; empty: it counts."""
