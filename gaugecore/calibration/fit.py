"""The fit: from readings to the calibrated map between dial angle and command.

The story: refuse what cannot be fitted; let the order of the rows speak; draw very many rows together; find
lost steps; weigh every supposition about the drive against the rows; name the rows that are not believed;
invert what is left into knots inside the readings and away from the stops; say what is not known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from gaugecore.calibration.arc import calibrated_knots
from gaugecore.calibration.caveats import Knowledge, caveats_of
from gaugecore.calibration.figures import figures_of
from gaugecore.calibration.grouping import MOST_SINGLE_ROWS, Grouped, group_rows
from gaugecore.calibration.lost_steps import LostSteps, find_lost_steps
from gaugecore.calibration.observations import Bools, Floats, Observations, observe
from gaugecore.calibration.posterior import Rest, drift_deg, rest_along
from gaugecore.calibration.problem import Problem, pose
from gaugecore.calibration.readings import Reading
from gaugecore.calibration.refusals import (
    FEWEST_READINGS,
    refuse_doubtful,
    refuse_negative_gap,
    refuse_unusable,
)
from gaugecore.calibration.repeatability import repeatability_deg
from gaugecore.calibration.result import Fit, Reversal
from gaugecore.calibration.row_order import RowOrder, read_order
from gaugecore.calibration.suspects import AFTER_LOSS, OUTSIDE_LIMITS, TURNED, Suspects
from gaugecore.calibration.weighing import Verdict, weigh_all
from gaugecore.errors import FitError

Kind = Literal["servo", "stepper"]
#: Grid of commands on which the needle's rest is worked out before it is inverted.
_GRID_POINTS = 161


def fit_readings(
    readings: Sequence[Reading], *, kind: Kind = "servo", command_limits: tuple[float, float] | None = None
) -> Fit:
    """Return the calibrated map of a dial.

    Parameters
    ----------
    readings : sequence of Reading
        In the order they were taken; at least 5 that are not excluded. Rows are numbered from 1.
    kind : {"servo", "stepper"}
        What turns the needle.
    command_limits : tuple of float or None
        Commands outside these are left out, and the map never reaches past them.

    Returns
    -------
    Fit
        At least 33 knots, both branches strictly monotone, nothing extrapolated.

    Raises
    ------
    FitError
        If no honest map can be made: too few readings, no travel, wrong units, contradictions.

    Notes
    -----
    A Gaussian process on the deviation from a line, with a term for the direction of approach and a
    mixture for slips of the pen, averaged over a grid of its parameters (docs/calibration.md).
    The same readings give the same fit, to the bit, on the same machine.
    """
    suspects = Suspects()
    seen = _within_limits(observe(readings), command_limits, suspects)
    refuse_unusable(seen, kind)
    order = read_order(seen)
    seen, grouped = order.seen, None
    if seen.size > MOST_SINGLE_ROWS:
        grouped = group_rows(seen, order.doubled)
        refuse_doubtful(seen, grouped.slipped)
    problem = _pose(order, grouped)
    lost = find_lost_steps(problem) if kind == "stepper" else None
    if lost is not None:
        problem = _before_loss(problem, lost, suspects)
    verdict = weigh_all(problem, kind)
    if grouped is None:
        refuse_doubtful(problem.seen, verdict.slipped | problem.doubled)
    at = np.linspace(0.0, 1.0, _GRID_POINTS)
    rest = rest_along(at, problem, verdict.evidence, verdict.grid, verdict.weighed)
    if grouped is None:
        suspects.name_single(order, problem, verdict, rest.gap_deg)
    else:
        suspects.name_grouped(order, grouped, verdict, rest.gap_deg)
    if problem.sided:
        refuse_negative_gap(rest.gap_deg, rest.gap_u_deg, kind)
    return _assembled(_Parts(kind, order, problem, verdict, rest, lost, suspects), at)


@dataclass(frozen=True, slots=True)
class _Parts:
    kind: Kind
    order: RowOrder
    problem: Problem
    verdict: Verdict
    rest: Rest
    lost: LostSteps | None
    suspects: Suspects


def _assembled(parts: _Parts, at: Floats) -> Fit:
    problem, rest = parts.problem, parts.rest
    knots = calibrated_knots(at, problem, parts.verdict, rest)
    named = parts.suspects.rows()
    seen = parts.order.seen
    doubtful = [s.row for s in named if s.reason != TURNED]
    trusted = ~np.isin(seen.row, doubtful)
    repeats, why_not = repeatability_deg(seen, trusted)
    drift = drift_deg(problem, parts.verdict.evidence, parts.verdict.grid, parts.verdict.weighed)
    commands = knots.command_up + knots.command_down
    reversal = Reversal(value=rest.gap_deg, standard_uncertainty=rest.gap_u_deg)
    if not problem.sided:
        reversal = Reversal(value=None, standard_uncertainty=None)
    fit = Fit(
        kind=parts.kind,
        command_range=(min(commands), max(commands)),
        angle_range_deg=(knots.angle_deg[0], knots.angle_deg[-1]),
        knots=knots,
        reversal_deg=reversal,
        repeatability_deg=repeats,
        suspect_rows=named,
    )
    figures, unknown = figures_of(fit, seen, trusted, scatter_deg=float(np.sqrt(rest.scatter_var)))
    knowledge = Knowledge(
        order=parts.order, problem=problem, lost=parts.lost, drift_deg=drift,
        reversal=reversal, suspects=named,
    )  # fmt: skip
    said = (*caveats_of(knowledge), *((why_not,) if why_not else ()), *unknown)
    return fit.model_copy(update={"figures": figures, "warnings": said})


def _within_limits(
    seen: Observations, limits: tuple[float, float] | None, suspects: Suspects
) -> Observations:
    if limits is None:
        return seen
    low, high = min(limits), max(limits)
    outside = (seen.command < low) | (seen.command > high)
    if outside.all() and seen.size:
        raise FitError(
            "all commands lie outside the limits of the movement",
            found=f"{seen.command.min():g} to {seen.command.max():g}",
            accepted=f"{low:g} to {high:g}",
        )
    suspects.add(seen, outside, OUTSIDE_LIMITS, seen.angle_deg)
    return seen.only(~outside)


def _pose(order: RowOrder, grouped: Grouped | None) -> Problem:
    if grouped is None:
        return pose(order.seen, order_known=order.order_known, doubled=order.doubled)
    none = np.zeros(grouped.seen.size, dtype=np.bool_)
    return pose(
        grouped.seen,
        order_known=~none,
        doubled=none,
        command_range=grouped.command_range,
        needle_var=grouped.needle_var,
    )


def _before_loss(problem: Problem, lost: LostSteps, suspects: Suspects) -> Problem:
    """Return the problem without the rows after steps were lost."""
    before: Bools = np.arange(problem.seen.size) < lost.before
    row = int(problem.seen.row[lost.before])
    if before.sum() < FEWEST_READINGS:
        raise FitError(
            f"steps were lost before row {row}, too early to use what came before",
            found=f"a jump of {lost.shift_deg:.1f}°",
            accepted="home the stepper and read again",
        )
    guess = problem.guess_deg(problem.x)
    suspects.add(problem.seen, ~before, AFTER_LOSS, guess)
    kept = problem.seen.only(before)
    return pose(kept, order_known=np.ones(kept.size, dtype=np.bool_), doubled=problem.doubled[before])
