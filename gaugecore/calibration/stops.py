"""End stops: rows where the needle stood at a stop and the command had gone on alone.

Such rows say nothing about the drive but where it ends. A stop is a supposition like any other: the outermost
rows all show one angle, short of what the rest foretells; it is weighed against the drive simply bending.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gaugecore.calibration.observations import Bools, Floats, Ints, Observations
from gaugecore.calibration.screening import Evidence, States

#: Share of sweeps that run into a stop at a given end: about a third run into one at all.
_STOP_RATE = 0.15
#: How far a sweep typically goes past the angle of the stop.
_TYPICAL_DEPTH_DEG = 4.0
_MOST_MARKS = 8
_FEWEST_ON_PLATEAU = 5
_FLAT = 0.3
#: Belief from which a stop is taken as real; below a half, since the mistake of sparing the stop is cheap.
BELIEVED_FROM = 0.4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StopCandidate:
    """A supposition about stops.

    Attributes
    ----------
    rows : ndarray of bool, shape (n,)
        Rows that stood at a stop; none: no stop.
    low, high : ndarray of bool, shape (n,)
        The same by the end of the command range at which they are.
    """

    low: Bools
    high: Bools

    @property
    def rows(self) -> Bools:
        """Return the rows at either stop."""
        return self.low | self.high


def stop_candidates(seen: Observations) -> list[StopCandidate]:
    """Return the suppositions about stops that the rows allow, the first of them without any."""
    none = np.zeros(seen.size, dtype=np.bool_)
    lows = [none, *_outermost(seen, -1.0)]
    highs = [none, *_outermost(seen, 1.0)]
    pairs = [(low, none) for low in lows] + [(none, high) for high in highs[1:]]
    if len(lows) > 1 and len(highs) > 1:
        pairs.append((lows[1], highs[1]))
    free = ~seen.kept
    return [
        StopCandidate(low=low & free, high=high & free) for low, high in pairs if (~(low | high)).sum() >= 5
    ]


def _outermost(seen: Observations, end: float) -> list[Bools]:
    """Return growing sets of rows at one end of the commands that may stand at one angle."""
    order = np.argsort(-end * seen.command, kind="stable")
    span = float(np.ptp(seen.command))
    reach = max(1.5 * max(seen.resolution_deg, 0.3), 1.0)
    sets: list[Bools] = []
    rows = np.zeros(seen.size, dtype=np.bool_)
    i = 0
    while i < order.size and len(sets) < _MOST_MARKS:
        edge = seen.command[order[i]]
        mark = np.abs(seen.command - edge) <= 0.004 * span
        here = float(np.median(seen.angle_deg[mark]))
        if sets and abs(here - float(np.median(seen.angle_deg[rows]))) > reach:
            break
        rows = rows | mark
        sets.append(rows)
        i = int(np.searchsorted(-end * seen.command[order], -end * edge + 0.004 * span, side="right"))
    return sets


def log_stop_weight(
    states: States,
    candidates: list[StopCandidate],
    start_candidate: list[int],
    evidence: Evidence,
    sense: float,
) -> Floats:
    """Return how likely the rows at a stop are under each state, shape (b,).

    Parameters
    ----------
    states : States
        States whose start left the rows at the stop to this explanation.
    candidates : list of StopCandidate
        The suppositions about stops.
    start_candidate : list of int
        Which of them each start stands for.
    evidence : Evidence
        What is to be explained.
    sense : float
        +1 when the dial angle rises with the command.
    """
    total = np.zeros(states.start.size)
    for number, candidate in enumerate(candidates):
        b = np.isin(states.start, [s for s, c in enumerate(start_candidate) if c == number])
        for rows, end in ((candidate.low, -sense), (candidate.high, sense)):
            if not rows.any():
                total[b] += np.log(1.0 - _STOP_RATE)
            elif b.any():
                total[b] += _one_stop(states, b, rows, end, evidence)
    return total


def _one_stop(states: States, b: Bools, rows: Bools, end: float, evidence: Evidence) -> Floats:
    from scipy.special import log_ndtr

    read = evidence.angle_deg[rows]
    scatter = evidence.scatter_var[states.supposition[b]][:, rows].mean(axis=1)
    spread = float(((read - read.mean()) ** 2).sum())
    together = -0.5 * ((read.size - 1) * np.log(2 * np.pi * scatter) + np.log(read.size) + spread / scatter)
    depth = (states.foretold_deg[b][:, rows] - read.mean()).mean(axis=1) * end
    doubt = np.sqrt(states.foretold_var[b][:, rows].mean(axis=1))
    # a stop met by a hair cannot be told from a bend and hardly matters; one met by far is likelier a slip
    met = np.maximum(depth, 0.2) / _TYPICAL_DEPTH_DEG
    past = log_ndtr(depth / doubt) + np.log(met / _TYPICAL_DEPTH_DEG) - met**2 / 2.0
    return np.asarray(np.log(_STOP_RATE) + together + past)


def rows_on_plateau(seen: Observations, scatter_deg: float) -> Bools:
    """Return the rows of a large set that stand at a stop: a plateau at either end of the commands.

    Parameters
    ----------
    seen : Observations
        Many rows.
    scatter_deg : float
        Scatter of a single reading.
    """
    order = np.argsort(seen.command, kind="stable")
    inner = order[order.size // 10 : -(order.size // 10)]
    slope = float(np.polyfit(seen.command[inner], seen.angle_deg[inner], 1)[0])
    same = max(1.5 * seen.resolution_deg, 3.0 * scatter_deg, 0.1)
    found = np.zeros(seen.size, dtype=np.bool_)
    for outward in (order, order[::-1]):
        stop = float(np.median(seen.angle_deg[outward[:_FEWEST_ON_PLATEAU]]))
        left = np.abs(seen.angle_deg[outward] - stop) > same
        # the plateau ends where the needle has left it and stays away: one odd row does not end it
        gone = left[:-2] & left[1:-1] & left[2:]
        count = int(np.argmax(gone)) if gone.any() else 0
        if count >= _FEWEST_ON_PLATEAU:
            rows = outward[:count]
            width = float(np.ptp(seen.command[rows]))
            if width * abs(slope) > 2.0 * same and _lies_flat(seen, rows, slope):
                found[rows] = True
    return found


def _lies_flat(seen: Observations, rows: Ints, slope: float) -> bool:
    """Return whether the rows rise far less than the drive does elsewhere."""
    middle = np.abs(seen.angle_deg[rows] - np.median(seen.angle_deg[rows]))
    near = rows[middle <= np.percentile(middle, 90)]
    return abs(float(np.polyfit(seen.command[near], seen.angle_deg[near], 1)[0])) < _FLAT * abs(slope)
