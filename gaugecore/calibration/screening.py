"""Which rows to believe: every supposition drops, one by one, the rows that the others speak against.

A Gaussian process under one supposition foretells every reading from all the others. The row that is most
likelier a slip than a reading goes, the rest is foretold anew, and so on. What is kept of every step is its
weight: how well supposition and choice of rows together explain everything that was written down.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gaugecore.calibration.observations import Bools, Floats, Ints
from gaugecore.calibration.slips import SLIP_RATE, SlipClues, log_slip_density
from gaugecore.calibration.suppositions import GAP_DEG, GAP_SPREAD_DEG

_LOG_GOOD, _LOG_SLIP = float(np.log(1.0 - SLIP_RATE)), float(np.log(SLIP_RATE))
_LOG_TWO_PI = float(np.log(2.0 * np.pi))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Evidence:
    """What is to be explained; n rows, h suppositions.

    Attributes
    ----------
    angle_deg, side : ndarray, shape (n,)
        As read.
    expected_deg : ndarray, shape (n,)
        A first guess that the process corrects.
    covariance : ndarray, shape (h, n, n)
        Of the needle angles, without scatter.
    nuisance : ndarray, shape (h, n, n)
        Of what moved the readings and is not the drive's: warming up, lost steps.
    scatter_var : ndarray, shape (h, n)
        Variance of reading, rounding included.
    clues : SlipClues
        Of the rows.
    sure : ndarray of bool, shape (n,)
        Rows the user stands by: never dropped.
    inverse, log_det : ndarray, shape (h, n, n) and (h,)
        Of the whole covariance, scatter and nuisance included.
    """

    angle_deg: Floats
    side: Floats
    expected_deg: Floats
    covariance: Floats
    nuisance: Floats
    scatter_var: Floats
    clues: SlipClues
    sure: Bools
    inverse: Floats
    log_det: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class States:
    """Suppositions together with a choice of rows; b of them.

    Attributes
    ----------
    supposition : ndarray of int, shape (b,)
        Index of the supposition.
    start : ndarray of int, shape (b,)
        Index of the start the state grew from.
    kept : ndarray of bool, shape (b, n)
        Rows believed.
    log_weight : ndarray, shape (b,)
        Logarithm of how well it explains all rows; the start's and the supposition's own are not in it.
    slip_chance : ndarray, shape (b, n)
        Probability that a row is a slip, given the state.
    foretold_deg, foretold_var : ndarray, shape (b, n)
        What the other believed rows foretell, and its variance with scatter.
    """

    supposition: Ints
    start: Ints
    kept: Bools
    log_weight: Floats
    slip_chance: Floats
    foretold_deg: Floats
    foretold_var: Floats

    def only(self, chosen: Ints) -> States:
        """Return some of them, by index."""
        return States(**{name: getattr(self, name)[chosen] for name in self.__slots__})


def screen(evidence: Evidence, starts: Bools, *, never: Bools | None = None) -> States:
    """Return all states visited while dropping rows.

    Parameters
    ----------
    evidence : Evidence
        What is to be explained.
    starts : ndarray of bool, shape (s, n)
        Rows kept at the start of each run.
    never : ndarray of bool, shape (s, n) or None
        Rows that each start explains in another way, as by a stop: neither believed nor slips.
    """
    h, n = evidence.scatter_var.shape
    never = np.zeros(starts.shape, dtype=np.bool_) if never is None else never
    start = np.repeat(np.arange(starts.shape[0]), h)
    which = np.tile(np.arange(h), starts.shape[0])
    kept = (starts[start] | evidence.sure) & ~never[start]
    precision, log_det = _precision(evidence, which, kept)
    most_dropped = max(2, n // 3)
    visited: list[States] = []
    for step in range(most_dropped + 1):
        state, gain = _judge(evidence, which, start, kept, ~kept & ~never[start], precision, log_det)
        visited.append(state)
        worst = np.argmax(gain, axis=1)
        go_on = gain[np.arange(which.size), worst] > -1.0
        if not go_on.any() or step == most_dropped:
            break
        which, start, kept = which[go_on], start[go_on], kept[go_on].copy()
        precision, log_det = precision[go_on], log_det[go_on]
        drop = worst[go_on]
        precision, log_det = _without(precision, log_det, drop)
        kept[np.arange(drop.size), drop] = False
    return _joined(visited)


def _precision(evidence: Evidence, which: Ints, kept: Bools) -> tuple[Floats, Floats]:
    """Return inverse and log determinant of the covariance of the kept rows; dropped rows hold zeros."""
    precision, log_det = evidence.inverse[which].copy(), evidence.log_det[which].copy()
    for row in np.flatnonzero((~kept).any(axis=0)):
        b = np.flatnonzero(~kept[:, row])
        precision[b], log_det[b] = _without(precision[b], log_det[b], np.full(b.size, row))
    return precision, log_det


def _without(precision: Floats, log_det: Floats, drop: Ints) -> tuple[Floats, Floats]:
    """Return the precision with one row left out of every state, by a change of rank one."""
    b = np.arange(drop.size)
    column = precision[b, :, drop]
    pivot = column[b, drop]
    precision = precision - column[:, :, None] * (column / pivot[:, None])[:, None, :]
    # exact zeros keep the dropped row from coming back through rounding
    precision[b, drop, :] = 0.0
    precision[b, :, drop] = 0.0
    return precision, log_det + np.log(pivot)


def _judge(
    evidence: Evidence,
    which: Ints,
    start: Ints,
    kept: Bools,
    slipped: Bools,
    precision: Floats,
    log_det: Floats,
) -> tuple[States, Floats]:
    """Return the states as they stand, and what dropping each row would gain (-inf where it is dropped)."""
    off = evidence.angle_deg - evidence.expected_deg
    pull = np.einsum("bij,j->bi", precision, off)
    own = np.einsum("bii->bi", precision)
    with np.errstate(divide="ignore", invalid="ignore"):
        left_out_mean, left_out_var = off - pull / own, 1.0 / own
    foretold, variance = _foretell(evidence, which, kept, precision, pull)
    foretold = np.where(kept, left_out_mean, foretold) + evidence.expected_deg
    variance = np.where(kept, left_out_var, variance)
    miss = evidence.angle_deg - foretold
    log_good = _LOG_GOOD - 0.5 * (miss**2 / variance + np.log(variance) + _LOG_TWO_PI)
    gap = _lost_motion(evidence, pull)
    log_slip = _LOG_SLIP + log_slip_density(
        evidence.angle_deg, foretold, variance, gap[:, None], evidence.side, evidence.clues
    )
    gain = log_slip - log_good
    n_kept = kept.sum(axis=1)
    log_weight = (
        -0.5 * (pull @ off + log_det + n_kept * _LOG_TWO_PI)
        + n_kept * _LOG_GOOD
        + np.where(slipped, log_slip, 0.0).sum(axis=1)
    )
    open_to_doubt = (kept | slipped) & ~evidence.sure
    state = States(
        supposition=which,
        start=start,
        kept=kept,
        log_weight=log_weight,
        slip_chance=np.where(open_to_doubt, 1.0 / (1.0 + np.exp(np.clip(-gain, -50, 50))), 0.0),
        foretold_deg=foretold,
        foretold_var=variance,
    )
    return state, np.where(kept & ~evidence.sure, gain, -np.inf)


def _foretell(
    evidence: Evidence, which: Ints, kept: Bools, precision: Floats, pull: Floats
) -> tuple[Floats, Floats]:
    """Return mean and variance of the dropped rows by the kept ones; zeros and ones elsewhere."""
    mean, variance = np.zeros(kept.shape), np.ones(kept.shape)
    b, i = np.nonzero(~kept)
    if b.size:
        cross = evidence.covariance[which[b], i, :] + evidence.nuisance[which[b], i, :]
        mean[b, i] = np.einsum("kj,kj->k", cross, pull[b])
        own = (
            evidence.covariance[which[b], i, i]
            + evidence.nuisance[which[b], i, i]
            + evidence.scatter_var[which[b], i]
        )
        used = np.einsum("ki,kij,kj->k", cross, precision[b], cross)
        variance[b, i] = np.maximum(own - used, evidence.scatter_var[which[b], i])
    return mean, variance


def _lost_motion(evidence: Evidence, pull: Floats) -> Floats:
    """Return the lost motion as each state sees it: the first guess with its correction."""
    return np.asarray(GAP_DEG + GAP_SPREAD_DEG**2 * (pull @ (evidence.side / 2.0)))


def believed_precision(evidence: Evidence, which: Ints, kept: Bools) -> Floats:
    """Return the inverse covariance of the believed rows, shape (b, n, n); rows not believed hold zeros."""
    return _precision(evidence, which, kept)[0]


def _joined(visited: list[States]) -> States:
    return States(**{name: np.concatenate([getattr(s, name) for s in visited]) for name in States.__slots__})
