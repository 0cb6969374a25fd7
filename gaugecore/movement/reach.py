"""How far a train takes the pointer, and which travel an arc needs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gaugecore.movement.train import CrankLink, Direct, GearPair, pointer_deg, slope


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """What a train makes of a movement's travel.

    Attributes
    ----------
    low_deg, high_deg : float
        Pointer angles at the two ends of the travel that can be used, the smaller first.
    most_slope, least_slope : float
        The pointer's turn by the movement's, without sign: where pointing is coarsest and finest.
    whole : bool
        Whether all of the movement's travel can be used; false when a link toggles on the way.
    """

    low_deg: float
    high_deg: float
    most_slope: float
    least_slope: float
    whole: bool

    @property
    def span_deg(self) -> float:
        """Return how far the pointer turns."""
        return self.high_deg - self.low_deg


#: Steps over the travel at which a link is looked at; the map between is smooth.
_LOOKS = 181


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """The part of a movement's travel over which the pointer runs one way.

    Attributes
    ----------
    movement_deg, pointer_deg, slope : ndarray, shape (n,)
        Rising movement angles, the pointer's, and its turn by the movement's.
    whole : bool
        Whether that is all of the travel.
    """

    movement_deg: NDArray[np.float64]
    pointer_deg: NDArray[np.float64]
    slope: NDArray[np.float64]
    whole: bool


def course(train: Direct | GearPair | CrankLink, travel_deg: float, *, looks: int = _LOOKS) -> Course:
    """Return how the pointer runs over a travel, outward from its middle as far as it goes one way.

    Parameters
    ----------
    travel_deg : float
        Travel of the movement, half of it to either side of its middle.
    looks : int
        How many angles to look at, an odd number.
    """
    at = np.linspace(-travel_deg / 2.0, travel_deg / 2.0, looks)
    if not isinstance(train, CrankLink):
        ratio = slope(train, 0.0) or 1.0
        return Course(movement_deg=at, pointer_deg=ratio * at, slope=np.full(looks, ratio), whole=True)
    bar, middle = train.linkage, looks // 2
    arms, slopes = bar.arms_deg(train.crank_deg + at), bar.velocity_ratios(train.crank_deg + at)
    sense = 1.0 if np.isnan(slopes[middle]) else float(np.sign(slopes[middle])) or 1.0
    # a comparison with NaN is false, so a place that cannot be assembled ends the course as well
    ends = ~(slopes * sense > 0.0)
    ends[middle] = False
    first = int(np.max(np.flatnonzero(ends[:middle]), initial=-1)) + 1
    last = int(np.min(np.flatnonzero(ends[middle:]), initial=looks - middle)) + middle - 1
    run = slice(first, last + 1)
    turned = np.unwrap(arms[run], period=360.0)
    return Course(
        movement_deg=at[run],
        pointer_deg=turned - turned[middle - first],
        slope=np.nan_to_num(slopes[run]),
        whole=first == 0 and last == looks - 1,
    )


def reach(train: Direct | GearPair | CrankLink, travel_deg: float) -> Reach:
    """Return how far the pointer turns over a movement's travel.

    Examples
    --------
    >>> reach(GearPair(ratio=1.5), 180.0).span_deg
    270.0
    """
    run = course(train, travel_deg)
    return Reach(
        low_deg=float(run.pointer_deg.min()),
        high_deg=float(run.pointer_deg.max()),
        most_slope=float(np.abs(run.slope).max()),
        least_slope=float(np.abs(run.slope).min()),
        whole=run.whole,
    )


def movement_deg(train: Direct | GearPair | CrankLink, wanted_deg: float, travel_deg: float) -> float | None:
    """Return how far the movement turns for a turn of the pointer, the inverse of `pointer_deg`.

    None where the train does not reach with this travel.

    Examples
    --------
    >>> movement_deg(GearPair(ratio=1.5), 90.0, 180.0)
    -60.0
    """
    if not isinstance(train, CrankLink):
        at = wanted_deg / (slope(train, 0.0) or 1.0)
        return at if abs(at) <= travel_deg / 2.0 else None
    from scipy.optimize import brentq

    run = course(train, travel_deg)
    off = run.pointer_deg - wanted_deg
    crossings = np.flatnonzero(off[:-1] * off[1:] <= 0.0)
    if crossings.size == 0:
        return None
    low, high = run.movement_deg[crossings[0]], run.movement_deg[crossings[0] + 1]
    return float(brentq(lambda deg: (pointer_deg(train, float(deg)) or 0.0) - wanted_deg, low, high))


def used_travel_deg(train: Direct | GearPair | CrankLink, travel_deg: float, arc_deg: float) -> float:
    """Return the travel that an arc takes, when it lies around the middle of what the pointer reaches.

    The whole travel where the arc is out of reach.

    Examples
    --------
    >>> used_travel_deg(GearPair(ratio=1.5), 180.0, 135.0)
    90.0
    """
    reached = reach(train, travel_deg)
    if arc_deg >= reached.span_deg:
        return travel_deg
    middle_deg = (reached.low_deg + reached.high_deg) / 2.0
    ends = [movement_deg(train, middle_deg + half * arc_deg, travel_deg) for half in (-0.5, 0.5)]
    return 2.0 * max((abs(end) for end in ends if end is not None), default=travel_deg / 2.0)
