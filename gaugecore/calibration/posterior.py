"""The weighed mean of all suppositions: where the needle rests along the commands, and how surely."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gaugecore.calibration.observations import Bools, Floats
from gaugecore.calibration.problem import Problem
from gaugecore.calibration.screening import Evidence, States, believed_precision
from gaugecore.calibration.suppositions import GAP_DEG, Suppositions, gap_covariance

#: States lighter than this against the heaviest change nothing that can be read.
_LIGHTEST = 2e-3
_MOST_STATES = 80
# One sweep cannot tell the needle's own scatter from the reader's. Up to READER_DEG the reader is blamed, but
# for a small share; what scatters beyond is laid to the needle, and counts more than once, since so much
# scatter seldom comes without a bias that no reading shows (parallax, warmth). All three were set so that the
# 95 % band covers on drives 0 to 199 of tests/bench; docs/accuracy.md tells what it does on others.
READER_DEG = 0.35
_NEEDLE_SHARE = 0.05
_WIDER = 2.6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weighed:
    """States with their weights, the heaviest ones first; weights sum to 1."""

    states: States
    weight: Floats

    @property
    def slip_chance(self) -> Floats:
        """Return the probability of every row to be a slip, shape (n,)."""
        return np.asarray(self.weight @ self.states.slip_chance)

    @property
    def foretold(self) -> tuple[Floats, Floats]:
        """Return mean and variance that the other rows foretell for every row, both shape (n,)."""
        mean = self.weight @ self.states.foretold_deg
        spread = (self.states.foretold_deg - mean) ** 2
        return np.asarray(mean), np.asarray(self.weight @ (self.states.foretold_var + spread))

    def only(self, chosen: Bools) -> Weighed:
        """Return some of the states, their weights made to sum to 1 again."""
        weight = self.weight[chosen]
        return Weighed(states=self.states.only(np.flatnonzero(chosen)), weight=weight / weight.sum())

    def pull(self, evidence: Evidence) -> Floats:
        """Return the weights that every state gives the rows' deviations, shape (b, n)."""
        precision = believed_precision(evidence, self.states.supposition, self.states.kept)
        return np.asarray(np.einsum("bij,j->bi", precision, evidence.angle_deg - evidence.expected_deg))

    def start_share(self, count: int) -> Floats:
        """Return the weight of every start, shape (count,)."""
        return np.asarray(
            np.bincount(self.states.start, weights=self.weight, minlength=count), dtype=np.float64
        )


def weigh(states: States, grid: Suppositions, *, log_prior: Floats | None = None) -> Weighed:
    """Return the states that matter, each once, weighed.

    Parameters
    ----------
    states : States
        All that were visited.
    grid : Suppositions
        What they suppose.
    log_prior : ndarray, shape (h,) or None
        Added to the belief the grid starts with.
    """
    belief = grid.log_prior if log_prior is None else grid.log_prior + log_prior
    log_weight = states.log_weight + belief[states.supposition]
    # the same choice of rows may be reached from several starts; a row at a stop is not one that slipped
    rows = np.concatenate([states.kept, states.slip_chance > 0.0], axis=1)
    key = np.column_stack([states.supposition, np.packbits(rows, axis=1)])
    order = np.argsort(-log_weight, kind="stable")
    _, first = np.unique(key[order], axis=0, return_index=True)
    chosen = order[np.sort(first)]
    weight = np.exp(log_weight[chosen] - log_weight[chosen[0]])
    chosen = chosen[weight >= _LIGHTEST][:_MOST_STATES]
    weight = np.exp(log_weight[chosen] - log_weight[chosen[0]])
    return Weighed(states=states.only(chosen), weight=weight / weight.sum())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rest:
    """Where the needle comes to rest along commands; all of shape (m,), but the lost motion.

    Attributes
    ----------
    up_deg, down_deg : ndarray
        Mean dial angle from below and from above.
    variance : ndarray
        Of both, the mean of the two sides; without any scatter.
    gap_deg, gap_u_deg : float
        Mean lost motion along the commands and its standard uncertainty.
    scatter_var : float
        Weighed variance of a reading beyond its rounding.
    needle_var : float
        What is laid to the needle itself.
    """

    up_deg: Floats
    down_deg: Floats
    variance: Floats
    gap_deg: float
    gap_u_deg: float
    scatter_var: float
    needle_var: float


def rest_along(
    at: Floats, problem: Problem, evidence: Evidence, grid: Suppositions, weighed: Weighed
) -> Rest:
    """Return the needle's rest at shares ``at`` of the swept commands."""
    states = weighed.states
    precision = believed_precision(evidence, states.supposition, states.kept)
    pull = weighed.pull(evidence)
    used = grid.only(states.supposition)
    centre, spread = [], []
    for side in (-1.0, 1.0) if problem.sided else (0.0, 0.0):
        sides = np.full(at.size, side)
        cross = used.covariance(at, sides, problem.x, evidence.side, problem.span_deg)
        mean = np.einsum("bmj,bj->bm", cross, pull) + problem.guess_deg(at) + side * GAP_DEG / 2.0
        explained = np.einsum("bmj,bmj->bm", np.matmul(cross, precision), cross)
        variance = np.maximum(used.variance(at, sides) - explained, 0.0)
        centre.append(weighed.weight @ mean)
        spread.append(weighed.weight @ (variance + (mean - centre[-1]) ** 2))
    gap, gap_u = _gap(at, problem, evidence, used, weighed, precision, pull)
    beyond = _WIDER * (used.scatter_deg**2 - READER_DEG**2)
    return Rest(
        up_deg=centre[0],
        down_deg=centre[1],
        variance=(spread[0] + spread[1]) / 2.0,
        gap_deg=gap,
        gap_u_deg=gap_u,
        scatter_var=float(weighed.weight @ used.scatter_deg**2),
        needle_var=float(weighed.weight @ np.maximum(beyond, _NEEDLE_SHARE * used.scatter_deg**2)),
    )


def _gap(
    at: Floats,
    problem: Problem,
    evidence: Evidence,
    used: Suppositions,
    weighed: Weighed,
    precision: Floats,
    pull: Floats,
) -> tuple[float, float]:
    cross = gap_covariance(used, at, problem.x).mean(axis=1) * evidence.side / 2.0
    own = gap_covariance(used, at, at).mean(axis=(1, 2))
    mean = GAP_DEG + np.einsum("bj,bj->b", cross, pull)
    variance = own - np.einsum("bi,bij,bj->b", cross, precision, cross)
    centre = float(weighed.weight @ mean)
    return centre, float(np.sqrt(weighed.weight @ (np.maximum(variance, 0.0) + (mean - centre) ** 2)))


def drift_deg(
    problem: Problem, evidence: Evidence, grid: Suppositions, weighed: Weighed
) -> tuple[float, float]:
    """Return how far off the first reading was because the drive still moved, and how surely."""
    states = weighed.states
    prior = grid.only(states.supposition).warming_deg ** 2
    precision = believed_precision(evidence, states.supposition, states.kept)
    cross = prior[:, None] * problem.cold
    mean = np.einsum("bj,bj->b", cross, weighed.pull(evidence))
    variance = prior - np.einsum("bi,bij,bj->b", cross, precision, cross)
    centre = float(weighed.weight @ mean)
    return centre, float(np.sqrt(weighed.weight @ (np.maximum(variance, 0.0) + (mean - centre) ** 2)))
