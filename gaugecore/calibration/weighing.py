"""All suppositions weighed against the rows, those about stops among them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from gaugecore.calibration.observations import Bools
from gaugecore.calibration.posterior import Weighed, weigh
from gaugecore.calibration.problem import Problem
from gaugecore.calibration.screening import Evidence, screen
from gaugecore.calibration.stops import BELIEVED_FROM, StopCandidate, log_stop_weight, stop_candidates
from gaugecore.calibration.suppositions import Suppositions, suppositions

#: A stop less likely than this after the quick look is not weighed again.
_WORTH_A_LOOK = 0.02


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Verdict:
    """What the weighing says.

    Attributes
    ----------
    grid : Suppositions
        The suppositions that were weighed.
    evidence : Evidence
        The rows under them.
    weighed : Weighed
        The states that matter.
    at_low_stop, at_high_stop : ndarray of bool, shape (n,)
        Rows that stood at a stop, at the low and the high end of the commands.
    """

    grid: Suppositions
    evidence: Evidence
    weighed: Weighed
    at_low_stop: Bools
    at_high_stop: Bools

    @property
    def at_stop(self) -> Bools:
        """Return the rows at either stop."""
        return self.at_low_stop | self.at_high_stop

    @property
    def slipped(self) -> Bools:
        """Return the rows that are likelier slips than readings."""
        return np.asarray((self.weighed.slip_chance > 0.5) & ~self.at_stop)


def weigh_all(problem: Problem, kind: Literal["servo", "stepper"]) -> Verdict:
    """Return the verdict on the rows: a quick look at the stops first, then everything."""
    candidates = stop_candidates(problem.seen)
    if len(candidates) > 1:
        quick = suppositions(kind, problem.span_deg, coarse=True)
        _, share = _weigh(problem, problem.evidence(quick), quick, candidates)
        candidates = [c for c, s in zip(candidates, share, strict=True) if s > _WORTH_A_LOOK]
    grid = suppositions(kind, problem.span_deg)
    evidence = problem.evidence(grid)
    weighed, share = _weigh(problem, evidence, grid, candidates)
    return Verdict(
        grid=grid,
        evidence=evidence,
        weighed=weighed,
        at_low_stop=_likeliest(candidates, share, "low"),
        at_high_stop=_likeliest(candidates, share, "high"),
    )


def _weigh(
    problem: Problem, evidence: Evidence, grid: Suppositions, candidates: list[StopCandidate]
) -> tuple[Weighed, list[float]]:
    """Return the weighed states and the weight of every candidate."""
    kept = problem.starts()
    each = len(kept)
    starts = np.concatenate([kept] * len(candidates))
    never = np.repeat([problem.doubled | candidate.rows for candidate in candidates], each, axis=0)
    of_candidate = np.repeat(np.arange(len(candidates)), each)
    states = screen(evidence, starts, never=never)
    stop_weight = log_stop_weight(states, candidates, of_candidate.tolist(), evidence, problem.seen.sense)
    weighed = weigh(replace(states, log_weight=states.log_weight + stop_weight), grid)
    return weighed, weighed.start_share(len(starts)).reshape(-1, each).sum(axis=1).tolist()


def _likeliest(candidates: list[StopCandidate], share: list[float], end: Literal["low", "high"]) -> Bools:
    """Return the rows at the stop of one end, none when a stop there is not believed."""
    rows = [candidate.low if end == "low" else candidate.high for candidate in candidates]
    weight = [s if r.any() else 0.0 for r, s in zip(rows, share, strict=True)]
    if sum(weight) <= BELIEVED_FROM:
        return np.zeros_like(rows[0])
    return rows[int(np.argmax(weight))]
