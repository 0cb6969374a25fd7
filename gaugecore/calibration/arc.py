"""The calibrated arc: how far the map may reach, short of every stop, and its knots."""

from __future__ import annotations

from typing import Literal

import numpy as np

from gaugecore.calibration.branches import Curves, make_knots
from gaugecore.calibration.observations import Bools, Floats
from gaugecore.calibration.posterior import Rest
from gaugecore.calibration.problem import Problem
from gaugecore.calibration.result import Knots
from gaugecore.calibration.suppositions import GAP_DEG, GAP_SPREAD_DEG
from gaugecore.calibration.weighing import Verdict
from gaugecore.errors import FitError

#: Standard uncertainties that the map keeps away from a stop.
_CLEAR_OF_STOP = 1.5
#: A jogged mark this near the outermost reading is itself the outermost.
_NEAR_MARK_DEG = 1.0


def calibrated_knots(at: Floats, problem: Problem, verdict: Verdict, rest: Rest) -> Knots:
    """Return the knots of the map.

    Parameters
    ----------
    at : ndarray, shape (m,)
        Shares of the swept commands.
    problem, verdict, rest : Problem, Verdict, Rest
        The rows, what is believed of them, and where the needle rests at ``at``.

    Raises
    ------
    FitError
        If nothing is left between the stops.
    """
    clear = _clear_of_stops(at, problem, verdict, rest)
    if clear.sum() < 3:
        raise FitError(
            "between the end stops hardly anything is left to calibrate",
            found=f"{int((~verdict.at_stop).sum())} readings off the stops",
            accepted="a sweep that ends short of the stops",
        )
    needle_var = rest.needle_var if problem.needle_var is None else problem.needle_var
    variance = rest.variance + needle_var
    if not problem.sided:
        # the other side is somewhere, by the lost motion that such drives have
        variance = variance + (GAP_DEG**2 + GAP_SPREAD_DEG**2) / 2.0
    curves = Curves(
        command=(problem.low + at * (problem.high - problem.low))[clear],
        up_deg=rest.up_deg[clear],
        down_deg=rest.down_deg[clear],
        uncertainty_deg=np.sqrt(variance)[clear],
    )
    return make_knots(curves, sense=problem.seen.sense, marks_deg=_jogged_ends(problem, verdict))


def _clear_of_stops(at: Floats, problem: Problem, verdict: Verdict, rest: Rest) -> Bools:
    """Return where the needle surely is short of a stop."""
    clear = np.ones(at.size, dtype=np.bool_)
    for rows, end in ((verdict.at_low_stop, -1.0), (verdict.at_high_stop, 1.0)):
        if rows.any():
            outward = end * problem.seen.sense
            stop = float((problem.seen.angle_deg[rows] * outward).mean())
            middle = (rest.up_deg + rest.down_deg) / 2.0 * outward
            short = middle + _CLEAR_OF_STOP * np.sqrt(rest.variance) <= stop
            outer = (at - 0.5) * end > 0
            first_bad = (at * end)[~short & outer]
            if first_bad.size:
                clear &= at * end < first_bad.min()
    return clear


def _jogged_ends(problem: Problem, verdict: Verdict) -> dict[Literal["low", "high"], float]:
    """Return the outermost marks onto which the needle was jogged, where these are the outermost rows."""
    seen = problem.seen
    good = ~verdict.at_stop & ~verdict.slipped & ~problem.doubled
    ends: dict[Literal["low", "high"], float] = {}
    if (good & seen.jogged).any():
        marks = seen.angle_deg[good & seen.jogged]
        low, high = float(marks.min()), float(marks.max())
        if low <= seen.angle_deg[good].min() + _NEAR_MARK_DEG:
            ends["low"] = low
        if high >= seen.angle_deg[good].max() - _NEAR_MARK_DEG:
            ends["high"] = high
    return ends
