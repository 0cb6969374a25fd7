"""How few straight links a path through a tunnel needs: the lower bound that a table is measured against.

The tunnel is a row of gates, one at each place, each open from ``low`` to ``high``. A path of straight links
that bends anywhere it likes must pass every gate. The greedy path below uses the fewest links there can be.
"""

from __future__ import annotations

from collections.abc import Sequence

Number = int | float


def farthest_gates(place: Sequence[Number], low: Sequence[Number], high: Sequence[Number]) -> list[int]:
    """Return the last gate that 1, 2, … links can pass; the length is the fewest links through them all.

    Parameters
    ----------
    place : sequence of number, shape (n,)
        Where the gates stand, strictly increasing.
    low, high : sequence of number, shape (n,)
        Between what they are open, ends included. Whole numbers are treated exactly.

    Notes
    -----
    A link is carried on until no straight line passes the next gate. If that gate lies too high, the last
    line that could be drawn is the steepest one: it touches a lower gate end, then an upper one, and whatever
    path goes on must cross it after that upper touch. So the next link has to stay below the upper ends from
    the touch onward, and above the lower ends only from the gate that was missed. The mirror image holds for
    a gate that lies too low. This is the minimum-link path through a monotone polygon, with its windows, each
    gate looked at a bounded number of times and two convex hulls kept, so the work grows in proportion to n.

    References
    ----------
    H. Imai and M. Iri, 1986; L. Guibas and others, 1991 (both from memory).
    """
    ends: list[int] = []
    low_from = high_from = 0
    while True:
        link = _Link(place, low, high)
        missed = link.carry_on(low_from, high_from)
        ends.append(missed - 1)
        if missed == len(place):
            return ends
        if link.too_high:
            low_from, high_from = missed, link.steepest_touch
        else:
            low_from, high_from = link.flattest_touch, missed


class _Link:
    """One link being carried on: both extreme lines, and the hulls they roll along.

    A line is kept as a point (an index of a gate) and a direction (rise, run); None while there is no limit.
    """

    def __init__(self, place: Sequence[Number], low: Sequence[Number], high: Sequence[Number]) -> None:
        self._x, self._low, self._high = place, low, high
        self._lows: list[int] = []  # upper hull of the lower ends
        self._highs: list[int] = []  # lower hull of the upper ends
        self._steepest: tuple[Number, Number] | None = None
        self._flattest: tuple[Number, Number] | None = None
        self.steepest_touch = self.flattest_touch = 0
        self.too_high = False

    def carry_on(self, low_from: int, high_from: int) -> int:
        """Return the first gate no line passes; lower and upper ends count from gates of their own on."""
        x, low, high = self._x, self._low, self._high
        for i in range(min(low_from, high_from), len(x)):
            has_low, has_high = i >= low_from, i >= high_from
            if has_low and self._steepest is not None:
                rise, run = self._steepest
                at = self.steepest_touch
                if (low[i] - high[at]) * run > rise * (x[i] - x[at]):
                    self.too_high = True
                    return i
            if has_high and self._flattest is not None:
                rise, run = self._flattest
                at = self.flattest_touch
                if (high[i] - low[at]) * run < rise * (x[i] - x[at]):
                    self.too_high = False
                    return i
            if has_high:
                self._limit_steepest(i)
            if has_low:
                self._limit_flattest(i)
            if has_low:
                self._add_low(i)
            if has_high:
                self._add_high(i)
        return len(x)

    def _limit_steepest(self, i: int) -> None:
        x, low, high, hull = self._x, self._low, self._high, self._lows
        if not hull:
            return
        if self._steepest is not None:
            rise, run = self._steepest
            at = self.steepest_touch
            if (high[i] - high[at]) * run >= rise * (x[i] - x[at]):
                return
        best = 0
        for j in range(1, len(hull)):
            a, b = hull[best], hull[j]
            if (high[i] - low[b]) * (x[i] - x[a]) > (high[i] - low[a]) * (x[i] - x[b]):
                break
            best = j
        del hull[:best]
        self._steepest = (high[i] - low[hull[0]], x[i] - x[hull[0]])
        self.steepest_touch = i

    def _limit_flattest(self, i: int) -> None:
        x, low, high, hull = self._x, self._low, self._high, self._highs
        if not hull:
            return
        if self._flattest is not None:
            rise, run = self._flattest
            at = self.flattest_touch
            if (low[i] - low[at]) * run <= rise * (x[i] - x[at]):
                return
        best = 0
        for j in range(1, len(hull)):
            a, b = hull[best], hull[j]
            if (low[i] - high[b]) * (x[i] - x[a]) < (low[i] - high[a]) * (x[i] - x[b]):
                break
            best = j
        del hull[:best]
        self._flattest = (low[i] - high[hull[0]], x[i] - x[hull[0]])
        self.flattest_touch = i

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
