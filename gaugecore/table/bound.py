"""How few straight pieces pass through a row of gates: the lower bound that a table is measured against.

A gate stands at each place, open from ``low`` to ``high``. A piece is a straight line through consecutive
gates; pieces need not meet. Carrying every piece on until no line passes the next gate uses the fewest pieces
there can be, since whatever a longer piece passes, a shorter one that starts later passes too.
"""

from __future__ import annotations

from collections.abc import Sequence

Number = int | float


def farthest_gates(place: Sequence[Number], low: Sequence[Number], high: Sequence[Number]) -> list[int]:
    """Return the last gate that 1, 2, … pieces can pass; the length is the fewest pieces through them all.

    Parameters
    ----------
    place : sequence of number, shape (n,)
        Where the gates stand, strictly increasing.
    low, high : sequence of number, shape (n,)
        Between what they are open, ends included. Whole numbers are treated exactly.

    Notes
    -----
    The lines that pass all gates so far lie between a steepest and a flattest one. Both roll along the convex
    hulls of the gates' ends as gates are added, so every gate is looked at a bounded number of times.

    References
    ----------
    The longest-segment procedure is optimal for a given error: Cameron 1966, DTIC AD0647190 (abstract).
    On-line fitting through tunnels: J. O'Rourke, 1981 (from memory).

    Examples
    --------
    >>> farthest_gates([0, 1, 2, 3, 4], [0, 0, 0, 2, 4], [0, 0, 0, 2, 4])
    [2, 4]
    """
    ends: list[int] = []
    start = 0
    while start < len(place):
        start = _Piece(place, low, high).carry_on(start)
        ends.append(start - 1)
    return ends


class _Piece:
    """One piece being carried on: both extreme lines, and the hulls they roll along.

    A line is kept as a gate it touches and a direction (rise, run); None while there is no limit.
    """

    def __init__(self, place: Sequence[Number], low: Sequence[Number], high: Sequence[Number]) -> None:
        self._x, self._low, self._high = place, low, high
        self._lows: list[int] = []  # upper hull of the lower ends
        self._highs: list[int] = []  # lower hull of the upper ends
        self._steepest: tuple[int, Number, Number] | None = None
        self._flattest: tuple[int, Number, Number] | None = None

    def carry_on(self, start: int) -> int:
        """Return the first gate from ``start`` on that no line passes together with all before it."""
        x, low, high = self._x, self._low, self._high
        for i in range(start, len(x)):
            if self._steepest is not None:
                at, rise, run = self._steepest
                if (low[i] - high[at]) * run > rise * (x[i] - x[at]):
                    return i
            if self._flattest is not None:
                at, rise, run = self._flattest
                if (high[i] - low[at]) * run < rise * (x[i] - x[at]):
                    return i
            self._limit_steepest(i)
            self._limit_flattest(i)
            self._add_low(i)
            self._add_high(i)
        return len(x)

    def _limit_steepest(self, i: int) -> None:
        x, low, high, hull = self._x, self._low, self._high, self._lows
        if not hull:
            return
        if self._steepest is not None:
            at, rise, run = self._steepest
            if (high[i] - high[at]) * run >= rise * (x[i] - x[at]):
                return
        best = 0
        for j in range(1, len(hull)):
            a, b = hull[best], hull[j]
            if (high[i] - low[b]) * (x[i] - x[a]) > (high[i] - low[a]) * (x[i] - x[b]):
                break
            best = j
        del hull[:best]
        self._steepest = (i, high[i] - low[hull[0]], x[i] - x[hull[0]])

    def _limit_flattest(self, i: int) -> None:
        x, low, high, hull = self._x, self._low, self._high, self._highs
        if not hull:
            return
        if self._flattest is not None:
            at, rise, run = self._flattest
            if (low[i] - low[at]) * run <= rise * (x[i] - x[at]):
                return
        best = 0
        for j in range(1, len(hull)):
            a, b = hull[best], hull[j]
            if (low[i] - high[b]) * (x[i] - x[a]) < (low[i] - high[a]) * (x[i] - x[b]):
                break
            best = j
        del hull[:best]
        self._flattest = (i, low[i] - high[hull[0]], x[i] - x[hull[0]])

    def _add_low(self, i: int) -> None:
        x, y, hull = self._x, self._low, self._lows
        while len(hull) > 1 and (y[hull[-1]] - y[hull[-2]]) * (x[i] - x[hull[-2]]) <= (y[i] - y[hull[-2]]) * (
            x[hull[-1]] - x[hull[-2]]
        ):
            hull.pop()
        hull.append(i)

    def _add_high(self, i: int) -> None:
        x, y, hull = self._x, self._high, self._highs
        while len(hull) > 1 and (y[hull[-1]] - y[hull[-2]]) * (x[i] - x[hull[-2]]) >= (y[i] - y[hull[-2]]) * (
            x[hull[-1]] - x[hull[-2]]
        ):
            hull.pop()
        hull.append(i)
