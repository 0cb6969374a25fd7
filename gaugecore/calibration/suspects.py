"""Suspect rows: every row the fit does not believe, with the reason, gathered from all that can tell."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gaugecore.calibration.grouping import Grouped
from gaugecore.calibration.observations import Bools, Floats, Observations
from gaugecore.calibration.problem import Problem
from gaugecore.calibration.result import SuspectRow
from gaugecore.calibration.row_order import RowOrder
from gaugecore.calibration.slips import ANYTHING_ELSE, slip_clues, slip_reasons
from gaugecore.calibration.weighing import Verdict

AT_STOP = "at the end stop"
AFTER_LOSS = "after steps were lost"
OUTSIDE_LIMITS = "outside the command limits"
DOUBLED = "row doubled"
TURNED = "direction swapped, counted the other way"
#: A row at a stop whose direction the order of the rows contradicts: both are true of it.
TURNED_AT_STOP = f"{AT_STOP}, and its direction swapped"
#: Begins the reason of a row that shows a stop all by itself, by as much as a misreading would.
LONE_AT_STOP = f"{AT_STOP}, or "


class Suspects:
    """Gathers suspect rows; the first reason given for a row stays."""

    def __init__(self) -> None:
        self._rows: dict[int, SuspectRow] = {}

    def add(
        self, seen: Observations, which: Bools, reason: str | Sequence[str], foretold_deg: Floats
    ) -> None:
        """Add rows.

        Parameters
        ----------
        seen : Observations
            The rows they are among.
        which : ndarray of bool, shape (n,)
            The suspect ones.
        reason : str or sequence of str, length n
            Why.
        foretold_deg : ndarray, shape (n,)
            What the other rows say; the residual is reading minus this.
        """
        for i in np.flatnonzero(which):
            row = int(seen.row[i])
            why = reason if isinstance(reason, str) else reason[int(i)]
            residual = float(seen.angle_deg[i] - foretold_deg[i])
            self._rows.setdefault(row, SuspectRow(row=row, residual_deg=round(residual, 4), reason=why))

    def name_single(self, order: RowOrder, problem: Problem, verdict: Verdict, gap_deg: float) -> None:
        """Name rows that were weighed one by one, the surest reason first."""
        foretold, variance = verdict.weighed.foretold
        seen = problem.seen
        turned = order.turned[np.isin(order.seen.row, seen.row)]
        reasons = slip_reasons(seen.angle_deg, foretold, variance, gap_deg, seen.side, problem.clues)
        self.add(seen, verdict.at_stop & turned, TURNED_AT_STOP, foretold)
        self.add(seen, _lone_at_stop(verdict, reasons), [LONE_AT_STOP + why for why in reasons], foretold)
        self.add(seen, verdict.at_stop, AT_STOP, foretold)
        self.add(seen, problem.doubled, DOUBLED, foretold)
        self.add(seen, verdict.slipped, reasons, foretold)
        self.add(seen, turned, TURNED, foretold)

    def name_grouped(self, order: RowOrder, grouped: Grouped, verdict: Verdict, gap_deg: float) -> None:
        """Name rows of a large set, which were judged by their neighbours before they were drawn together."""
        seen, foretold = order.seen, grouped.foretold_deg
        self.add(seen, grouped.at_stop, AT_STOP, foretold)
        self.add(seen, order.doubled, DOUBLED, foretold)
        variance = np.full(seen.size, grouped.scatter_deg**2)
        clues = slip_clues(seen, order.order_known)
        reasons = slip_reasons(seen.angle_deg, foretold, variance, gap_deg, seen.side, clues)
        self.add(seen, grouped.slipped, reasons, foretold)
        self.add(seen, order.turned, TURNED, foretold)
        groups_foretold, _ = verdict.weighed.foretold
        self.add(grouped.seen, verdict.at_stop, AT_STOP, groups_foretold)

    def rows(self) -> tuple[SuspectRow, ...]:
        """Return them in the order of the rows."""
        return tuple(self._rows[row] for row in sorted(self._rows))


def _lone_at_stop(verdict: Verdict, reasons: Sequence[str]) -> Bools:
    """Return rows that alone speak for a stop and could as well be a slip of a known kind.

    Two marks at one angle, or one mark read from both sides, show a stop. A single row that falls short of
    its neighbours by about 5 or 10 degrees shows a stop or a misreading: only another reading tells which.
    """
    of_a_kind = np.array([why != ANYTHING_ELSE for why in reasons])
    lone = np.zeros_like(verdict.at_stop)
    for rows in (verdict.at_low_stop, verdict.at_high_stop):
        if rows.sum() == 1:
            lone |= rows & of_a_kind
    return lone
