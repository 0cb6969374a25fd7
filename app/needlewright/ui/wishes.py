"""What a user may wish of a drive and of a table, beyond what is always in sight.

It is part of the view, not of the panel. Written as models, so that the forms take labels, units, ranges
and words from them as they do from the panel.
"""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from pydantic import Field

from gaugecore.panel.silence import LEAST_WATCHDOG_S, MOST_WATCHDOG_S
from gaugecore.values import Part


class NeedlesThen(Enum):
    """What all needles do when the traffic stops."""

    AS_STORED = "as stored in the board"
    RELAX = "relax"
    HOME = "go to the low end of the scale"


class SilenceWishes(Part):
    """What the board does when the computer is silent; stored in the board as a drive begins."""

    after_s: Annotated[float, Field(ge=LEAST_WATCHDOG_S, le=MOST_WATCHDOG_S)] | None = None
    """After so long without a word from the computer the board acts by itself. Unset: as it has it stored"""
    needles_then: NeedlesThen = NeedlesThen.AS_STORED
    """What every needle does then; the board keeps it, since by then nobody can tell it any more"""


class PlayingWishes(Part):
    """How values are taken and sent, and a recording is played and made."""

    most_rounds_hz: Annotated[float, Field(ge=1, le=200)] = 50.0
    """So often at most are the needles sent on"""
    playing_speed: Annotated[float, Field(gt=0, le=1000)] = 1.0
    """How many times as fast as it was recorded a recording is played"""
    begin_at_s: Annotated[float, Field(ge=0, le=1e6)] = 0.0
    """Where in a recording to begin"""
    replace_file: bool = False
    """Whether what comes in may be recorded over a file that is there already"""


class TableWishes(Part):
    """What is demanded of a table beyond its largest error."""

    turn_back_by: Annotated[int, Field(ge=0, le=0x7FFF)] | None = None
    """How far the raw value must turn back before the map of the other direction is taken; a board keeps
    up to 255. Unset: 1/256 of the raw range"""
    timer_hz: Annotated[float, Field(gt=0, le=1e9)] | None = None
    """The files then count ticks of this timer instead of µs; servos only. 16 MHz divided by 8 are 2000000"""
    most_flash_bytes: Annotated[int, Field(ge=1, le=1_000_000)] | None = None
    """Most bytes of program memory that a table may take on an 8-bit AVR, code included"""
    exact_ends: bool = False
    """Whether both ends of the raw range get the nearest whole command, as detent marks always do"""
