"""Lost steps: from some row on, everything a stepper shows is off by one amount.

Steps lost before the first reading cannot be seen; home first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gaugecore.calibration.posterior import weigh
from gaugecore.calibration.problem import Problem
from gaugecore.calibration.screening import screen
from gaugecore.calibration.suppositions import suppositions

#: Share of sittings in which a stepper loses steps, before any is seen.
_LOSS_RATE = 0.05
#: How far off a loss usually puts the needle.
_TYPICAL_LOSS_DEG = 4.0
_BELIEVED_FROM = 0.9
_LAST_ROWS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class LostSteps:
    """A loss of steps.

    Attributes
    ----------
    before : int
        Index of the first row that is off.
    shift_deg : float
        By how much the rows from there on are off.
    """

    before: int
    shift_deg: float


def find_lost_steps(problem: Problem) -> LostSteps | None:
    """Return where a stepper lost steps, None when nothing speaks for it."""
    n = problem.seen.size
    places = np.arange(2, n - _LAST_ROWS)
    if places.size == 0:
        return None
    one = suppositions("stepper", problem.span_deg, coarse=True)
    later = np.arange(n)[None, :] >= places[:, None]
    shift = _TYPICAL_LOSS_DEG**2 * (later[:, :, None] & later[:, None, :])
    # every supposition once without a loss, and once for each place where it may have happened
    grid = one.only(np.tile(np.arange(one.size), places.size + 1))
    nuisance = np.concatenate([np.zeros((one.size, n, n)), np.repeat(shift, one.size, axis=0)])
    log_prior = np.full(grid.size, np.log(_LOSS_RATE / places.size))
    log_prior[: one.size] = np.log(1.0 - _LOSS_RATE)
    evidence = problem.evidence(grid, nuisance)
    starts = problem.starts()[:1]
    weighed = weigh(screen(evidence, starts, never=problem.doubled[None, :]), grid, log_prior=log_prior)
    place = weighed.states.supposition // one.size - 1
    by_place = np.bincount(place + 1, weights=weighed.weight, minlength=places.size + 1)
    if by_place[0] > 1.0 - _BELIEVED_FROM:
        return None
    best = int(np.argmax(by_place[1:]))
    before = int(places[best])
    states = weighed.only(place == best)
    pull = states.pull(evidence)
    cross = _TYPICAL_LOSS_DEG**2 * later[best].astype(np.float64)
    return LostSteps(before=before, shift_deg=float(states.weight @ (pull @ cross)))
