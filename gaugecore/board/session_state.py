"""What a calibration session is to do, and all there is to show of it: plain values."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from gaugecore.calibration.plan import Target
from gaugecore.calibration.readings import Reading

#: Shown before the first movement, by every front end.
CAUTION = (
    "The needle will move. Keep fingers, wires and tools out of its sweep. Power the servo from a supply "
    "that carries its stall current, with the ground joined to the board's; a USB port may not. Switch off "
    "at once when a servo hums or gets hot at its end. Follow your local electrical and workshop rules. Not "
    "for use in a real aircraft, vehicle or vessel."
)

#: A needle nobody asks anything of is let go after this time: a held servo hums, and gets warm.
IDLE_S = 300.0


class Doing(Enum):
    """What a session is about."""

    READY = "ready"  #: no range yet, or between two things
    MOVING = "moving"  #: the needle is on its way
    AT_TARGET = "at target"  #: the needle rests and waits to be read
    DONE = "done"  #: all targets are read


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionState:
    """All there is to show.

    Attributes
    ----------
    doing : Doing
        What it is about.
    command : float or None
        What the channel was last sent, in µs or steps; None: nothing yet.
    limits : tuple of float or None
        The safe range, once it is set.
    targets : tuple of Target
        The plan.
    at : int
        Index of the target in hand; ``len(targets)`` when all are done.
    readings : tuple of Reading
        Taken so far.
    unsaved : bool
        Whether the file lacks some of them.
    dozing : bool
        Whether the needle was let go because nothing was asked for a while; the next movement wakes it.
    """

    doing: Doing = Doing.READY
    command: float | None = None
    limits: tuple[float, float] | None = None
    targets: tuple[Target, ...] = ()
    at: int = 0
    readings: tuple[Reading, ...] = ()
    unsaved: bool = False
    dozing: bool = False

    @property
    def target(self) -> Target | None:
        """Return the target in hand, None when there is none."""
        return self.targets[self.at] if self.at < len(self.targets) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What a session is to do.

    Attributes
    ----------
    channel : int
        Of the board.
    clockwise_with_command : bool
        Whether a larger command turns the needle clockwise.
    widest : tuple of float
        Commands beyond which the movement is never sent, whatever the user asks.
    arc_deg : tuple of float or None
        Smallest and largest dial angle of the face: readings far beyond it are slips. None: not known.
    readings, cycles : int
        Readings a cycle, both directions together, and cycles.
    out : Path or None
        Readings file that is kept up to date.
    comment : str
        Put above its header.
    idle_s : float
        Time without a call after which the needle is let go.
    """

    channel: int
    clockwise_with_command: bool
    widest: tuple[float, float]
    arc_deg: tuple[float, float] | None = None
    readings: int = 21
    cycles: int = 1
    out: Path | None = None
    comment: str = ""
    idle_s: float = IDLE_S
