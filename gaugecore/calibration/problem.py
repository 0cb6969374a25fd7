"""The rows as one problem to be weighed: the sweep as a share, a robust line as first guess, the clues."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from gaugecore.calibration.observations import Bools, Floats, Observations
from gaugecore.calibration.screening import Evidence
from gaugecore.calibration.slips import SlipClues, slip_clues
from gaugecore.calibration.suppositions import GAP_DEG, Suppositions


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Problem:
    """The rows to be explained; arrays of shape (n,).

    Attributes
    ----------
    seen : Observations
        The rows.
    x : ndarray
        Their commands as a share of the swept range.
    low, high : float
        Ends of that range.
    line_deg : tuple of float
        A robust line: angle at the low end, and rise over the whole range.
    cold : ndarray
        1 at the first row down to 0 at the last: how cold the drive still was.
    doubled : ndarray of bool
        Rows that repeat the one before by mistake.
    clues : SlipClues
        Of the rows.
    sided : bool
        Whether both directions occur, so that lost motion can be told.
    needle_var : float or None
        Variance of the needle where so many rows tell it directly.
    """

    seen: Observations
    x: Floats
    low: float
    high: float
    line_deg: tuple[float, float]
    cold: Floats
    doubled: Bools
    clues: SlipClues
    sided: bool
    needle_var: float | None

    @property
    def span_deg(self) -> float:
        """Return the dial angle swept, signed."""
        return self.line_deg[1]

    def guess_deg(self, x: Floats) -> Floats:
        """Return the first guess at shares of the swept range, between both directions."""
        return self.line_deg[0] + self.line_deg[1] * x

    def evidence(self, grid: Suppositions, nuisance: Floats | None = None) -> Evidence:
        """Return what is to be explained under a grid of suppositions.

        Parameters
        ----------
        grid : Suppositions
            The grid.
        nuisance : ndarray, shape (h, n, n) or None
            Covariance of something that moved the readings and is not the drive's, such as lost steps.
        """
        seen = self.seen
        cold = (grid.warming_deg**2)[:, None, None] * np.outer(self.cold, self.cold)
        rounding = np.where(seen.jogged, 0.0, seen.resolution_deg**2 / 12.0)
        covariance = grid.covariance(self.x, seen.side, self.x, seen.side, self.span_deg)
        nuisance = cold if nuisance is None else cold + nuisance
        scatter_var = (grid.scatter_deg[:, None] ** 2 + rounding) / seen.count + seen.spread_var
        whole = covariance + nuisance + scatter_var[:, :, None] * np.eye(seen.size)
        diagonal = np.diagonal(np.linalg.cholesky(whole), axis1=1, axis2=2)
        return Evidence(
            angle_deg=seen.angle_deg,
            side=seen.side,
            expected_deg=self.guess_deg(self.x) + seen.side * GAP_DEG / 2.0,
            covariance=covariance,
            nuisance=nuisance,
            scatter_var=scatter_var,
            clues=self.clues,
            sure=seen.kept,
            inverse=np.asarray(np.linalg.inv(whole), dtype=np.float64),
            log_det=2.0 * np.log(diagonal).sum(axis=1),
        )

    def starts(self) -> Bools:
        """Return two choices of rows to start from: all, and those near a robust cubic."""
        return np.array([np.ones(self.seen.size, dtype=np.bool_), self._near_a_cubic()])

    def _near_a_cubic(self) -> Bools:
        terms = np.column_stack([self.x**k for k in range(4)] + [self.seen.side / 2.0])
        weight = np.ones(self.seen.size)
        for _ in range(20):
            root = np.sqrt(weight)[:, None]
            solution = np.linalg.lstsq(terms * root, self.seen.angle_deg * root[:, 0], rcond=None)[0]
            miss = self.seen.angle_deg - terms @ solution
            spread = max(1.4826 * float(np.median(np.abs(miss))), 0.4)
            weight = 1.0 / (1.0 + (miss / (2.5 * spread)) ** 4)
        return np.asarray(np.abs(miss) < 4.0 * spread)


def pose(
    seen: Observations,
    *,
    order_known: Bools,
    doubled: Bools,
    command_range: tuple[float, float] | None = None,
    needle_var: float | None = None,
) -> Problem:
    """Return the problem that rows pose; without both directions the sides are left out of it.

    Parameters
    ----------
    seen : Observations
        The rows, drawn together or not.
    order_known, doubled : ndarray of bool, shape (n,)
        What the order of the rows told.
    command_range : tuple of float or None
        Ends of the commands that were read, where these are not those of the rows.
    needle_var : float or None
        Variance of the needle, where it is known.
    """
    sided = bool((seen.side > 0).any() and (seen.side < 0).any())
    if not sided:
        seen = replace(seen, side=np.zeros(seen.size))
    low, high = command_range or (float(seen.command.min()), float(seen.command.max()))
    x = (seen.command - low) / (high - low)
    return Problem(
        seen=seen,
        x=x,
        low=low,
        high=high,
        line_deg=_robust_line(x, seen.angle_deg),
        cold=1.0 - np.arange(seen.size) / max(1, seen.size - 1),
        doubled=doubled,
        clues=slip_clues(seen, order_known),
        sided=sided,
        needle_var=needle_var,
    )


def _robust_line(x: Floats, angle_deg: Floats) -> tuple[float, float]:
    """Return the line of Theil and Sen, the median of all slopes: three rows in ten may be wrong."""
    i, j = np.triu_indices(x.size, 1)
    apart = x[i] != x[j]
    slope = float(np.median((angle_deg[j] - angle_deg[i])[apart] / (x[j] - x[i])[apart]))
    return float(np.median(angle_deg - slope * x)), slope
