"""A fit against last year's on the same dial: what has moved, and whether it is more than chance."""

from __future__ import annotations

import math

import numpy as np

from gaugecore.calibration.readings import Direction
from gaugecore.calibration.result import Fit
from gaugecore.errors import FitError
from gaugecore.values import Part

_POINTS = 49
#: Points of the arc whose changes are as good as independent.
_INDEPENDENT_POINTS = 10
_CHANCE = 0.05
#: Far below what anybody can read: two fits that claim to know everything can still be compared.
_LEAST_U_DEG = 1e-9


class Comparison(Part):
    """The change from an earlier fit to a later one, on the arc they share.

    Attributes
    ----------
    angle_deg : tuple of float
        Dial angles.
    change_up_deg, change_down_deg : tuple of float
        Where the needle stands now, under the commands that used to bring it there, less the angle.
    uncertainty_deg : tuple of float
        Standard uncertainty of the change.
    largest_change_deg : float
        The largest by size, with its sign.
    at_deg : float
        Where.
    chance : float
        Probability that a drive which has not changed shows so much.
    more_than_chance : bool
        Whether that is below 5 %.
    reversal_change_deg, reversal_change_u_deg : float or None
        Change of the lost motion, None where either fit does not know it.
    """

    angle_deg: tuple[float, ...]
    change_up_deg: tuple[float, ...]
    change_down_deg: tuple[float, ...]
    uncertainty_deg: tuple[float, ...]
    largest_change_deg: float
    at_deg: float
    chance: float
    more_than_chance: bool
    reversal_change_deg: float | None
    reversal_change_u_deg: float | None

    def sentence(self) -> str:
        """Return the outcome in one sentence."""
        verdict = "more than chance" if self.more_than_chance else "no more than chance"
        how_often = "less than 1%" if self.chance < 0.01 else f"{self.chance:.0%}"
        return (
            f"the needle has moved by {self.largest_change_deg:+.2f}° at most (at {self.at_deg:.0f}°), "
            f"{verdict} (an unchanged drive shows as much with a probability of {how_often})"
        )


def compare_fits(earlier: Fit, later: Fit) -> Comparison:
    """Return the change between two fits of one dial.

    Raises
    ------
    FitError
        If the movements differ in kind or the fits share no arc.
    """
    low = max(earlier.angle_range_deg[0], later.angle_range_deg[0])
    high = min(earlier.angle_range_deg[1], later.angle_range_deg[1])
    if earlier.kind != later.kind or not low < high:
        raise FitError(
            "the two fits cannot be compared",
            found=f"{earlier.kind} {earlier.angle_range_deg}, {later.kind} {later.angle_range_deg}",
            accepted="fits of the same dial and kind of movement with an arc in common",
        )
    angles = np.linspace(low, high, _POINTS)
    changes = [
        later.angles(earlier.commands(angles, side), side) - angles for side in (Direction.UP, Direction.DOWN)
    ]
    u = np.hypot(
        np.interp(angles, earlier.knots.angle_deg, earlier.knots.standard_uncertainty_deg),
        np.interp(angles, later.knots.angle_deg, later.knots.standard_uncertainty_deg),
    )
    ratio = np.abs(np.array(changes)) / np.maximum(u, _LEAST_U_DEG)
    side, place = np.unravel_index(int(ratio.argmax()), ratio.shape)
    chance = 1.0 - math.erf(float(ratio.max()) / math.sqrt(2.0)) ** _INDEPENDENT_POINTS
    reversal, reversal_u = _reversal_change(earlier, later)
    return Comparison(
        angle_deg=tuple(angles.tolist()),
        change_up_deg=tuple(changes[0].tolist()),
        change_down_deg=tuple(changes[1].tolist()),
        uncertainty_deg=tuple(u.tolist()),
        largest_change_deg=float(changes[side][place]),
        at_deg=float(angles[place]),
        chance=chance,
        more_than_chance=chance < _CHANCE,
        reversal_change_deg=reversal,
        reversal_change_u_deg=reversal_u,
    )


def _reversal_change(earlier: Fit, later: Fit) -> tuple[float | None, float | None]:
    before, now = earlier.reversal_deg, later.reversal_deg
    if before.value is None or now.value is None:
        return None, None
    u = math.hypot(before.standard_uncertainty or 0.0, now.standard_uncertainty or 0.0)
    return now.value - before.value, u
