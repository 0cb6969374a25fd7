"""Damping: how fast a needle may follow its value, so that it moves like a needle."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import Field

from gaugecore.values import Part


class Damping(Part):
    """What stands between a live value and the needle. The defaults let everything through."""

    time_constant_s: Annotated[float, Field(ge=0, le=60)] = 0.0
    """After a step the needle has gone 63 % of the way in this time; 0: at once."""
    most_deg_per_s: Annotated[float, Field(gt=0, le=36000)] | None = None
    """Fastest turn of the needle; none: as fast as the movement can."""


class DampedNeedle:
    """A dial angle that follows another one, damped.

    Parameters
    ----------
    damping : Damping
        How.
    """

    def __init__(self, damping: Damping) -> None:
        self.damping = damping
        self.angle_deg: float | None = None

    def follow(self, wanted_deg: float, elapsed_s: float) -> float:
        """Return where the needle is to point now.

        Parameters
        ----------
        wanted_deg : float
            Where the value says.
        elapsed_s : float
            Since the last call; the first call goes straight to the value.

        Notes
        -----
        The exact solution of a first-order lag for a value that stays as it is, so that without a limit on
        the speed the path does not depend on how often this is called.

        Examples
        --------
        >>> needle = DampedNeedle(Damping(time_constant_s=1.0))
        >>> needle.follow(0.0, 0.0), round(needle.follow(100.0, 1.0), 2)
        (0.0, 63.21)
        """
        if self.angle_deg is None:
            self.angle_deg = wanted_deg
            return wanted_deg
        elapsed_s = max(0.0, elapsed_s)
        lag_s = self.damping.time_constant_s
        share = 1.0 if lag_s == 0.0 else -math.expm1(-elapsed_s / lag_s)
        step_deg = share * (wanted_deg - self.angle_deg)
        most = self.damping.most_deg_per_s
        if most is not None:
            step_deg = min(max(step_deg, -most * elapsed_s), most * elapsed_s)
        self.angle_deg += step_deg
        return self.angle_deg
