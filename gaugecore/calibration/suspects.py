"""Suspect rows: every row the fit does not believe, with the reason, gathered from all that can tell."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gaugecore.calibration.observations import Bools, Floats, Observations
from gaugecore.calibration.result import SuspectRow

AT_STOP = "at the end stop"
AFTER_LOSS = "after steps were lost"
OUTSIDE_LIMITS = "outside the command limits"
DOUBLED = "row doubled"
TURNED = "direction swapped, counted the other way"


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

    def rows(self) -> tuple[SuspectRow, ...]:
        """Return them in the order of the rows."""
        return tuple(self._rows[row] for row in sorted(self._rows))
