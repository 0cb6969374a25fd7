"""What a table is asked to give: the exact commands, and the integers allowed in their place."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gaugecore.errors import TableError
from gaugecore.table.places import HIGHEST_PLACE, Integers, Places

Reals = NDArray[np.float64]

#: Room for the last bits of binary fractions: 1e-9 of a tick is nothing a needle could show.
_ROUNDING = 1e-9
_LOWEST_INT16 = -(2**15)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Target:
    """The exact commands of one direction, cell by cell, rising.

    Attributes
    ----------
    places : Places
        The way from raw values to cells.
    lowest, highest : ndarray, shape (n_cells,)
        Lowest and highest exact command in each cell, in output units; they differ only where a cell holds
        several raw values.
    """

    places: Places
    lowest: Reals
    highest: Reals

    @classmethod
    def of(cls, places: Places, command: Callable[[Integers], Reals]) -> Target:
        """Return the target that a function of the raw value gives.

        Parameters
        ----------
        places : Places
            The raw range.
        command : callable
            From raw values, shape (n,), to exact commands in output units, shape (n,). It must be monotone
            over the whole range, in the direction ``places`` says.

        Raises
        ------
        TableError
            If the commands are not finite, or turn round.
        """
        lowest, highest = (np.asarray(command(raw), dtype=np.float64) for raw in places.cell_ends())
        in_order = np.empty(2 * places.n_cells)
        in_order[0::2], in_order[1::2] = lowest, highest
        if not np.isfinite(in_order).all():
            raise TableError("the fit gives a command that is not a finite number")
        steps = np.diff(in_order)
        if (steps < -_ROUNDING).any():
            raw = places.cell_ends()[0][int(np.argmin(steps)) // 2]
            raise TableError(
                "the commands do not run one way over the raw range, so no table can be made",
                found=f"a turn near the raw value {raw}",
                accepted="a monotone fit and scale",
            )
        in_order = np.maximum.accumulate(in_order)
        return cls(places=places, lowest=in_order[0::2], highest=in_order[1::2])

    def errors(self, outputs: Integers) -> Reals:
        """Return the largest distance between output and exact command in each cell."""
        return np.asarray(np.maximum(outputs - self.lowest, self.highest - outputs))


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The lowest and highest integer that may ever be sent."""

    lowest: int
    highest: int

    @classmethod
    def within(cls, *ranges: tuple[float, float], ticks_per_unit: float = 1.0) -> Limits:
        """Return the integers inside every one of some ranges of commands.

        Raises
        ------
        TableError
            If nothing is left, or two bytes cannot hold it.
        """
        low = max(min(ends) for ends in ranges) * ticks_per_unit
        high = min(max(ends) for ends in ranges) * ticks_per_unit
        limits = cls(lowest=math.ceil(low - _ROUNDING), highest=math.floor(high + _ROUNDING))
        if limits.lowest > limits.highest:
            raise TableError(
                "the limits leave no command",
                found=" and ".join(f"{min(ends):g} to {max(ends):g}" for ends in ranges),
                accepted="limits of the movement that overlap the range of the fit",
            )
        if limits.highest > HIGHEST_PLACE or (limits.lowest < 0 and limits.highest >= -_LOWEST_INT16):
            raise _too_wide(limits)
        if limits.lowest < _LOWEST_INT16:
            raise _too_wide(limits)
        return limits


def _too_wide(limits: Limits) -> TableError:
    return TableError(
        "the commands do not fit two bytes",
        found=f"{limits.lowest} to {limits.highest}",
        accepted="0 to 65535, or -32768 to 32767; a slower timer or fewer microsteps",
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tunnel:
    """The integers allowed in each cell; both walls rise.

    Attributes
    ----------
    places : Places
        The way from raw values to cells.
    low, high : ndarray of int, shape (n_cells,)
        Lowest and highest integer allowed, ``low <= high``.
    """

    places: Places
    low: Integers
    high: Integers


def reachable_error(target: Target, limits: Limits) -> float:
    """Return the smallest worst-case error that integers within the limits can have."""
    middle = (target.lowest + target.highest) / 2.0
    best = np.clip(np.floor(middle + 0.5).astype(np.int64), limits.lowest, limits.highest)
    return float(target.errors(best).max())


def allowed(target: Target, limits: Limits, max_error: float, pinned_raw: Sequence[int] = ()) -> Tunnel:
    """Return the tunnel of integers no farther than ``max_error`` from the exact commands.

    Parameters
    ----------
    target : Target
        The exact commands.
    limits : Limits
        What may ever be sent.
    max_error : float
        Largest distance allowed, in output units, rounding included.
    pinned_raw : sequence of int
        Raw values at which only the nearest integer is allowed.

    Raises
    ------
    TableError
        If no integer is left somewhere; the message says which bound can be reached.
    """
    low = np.ceil(target.highest - max_error - _ROUNDING).astype(np.int64)
    high = np.floor(target.lowest + max_error + _ROUNDING).astype(np.int64)
    low, high = np.maximum(low, limits.lowest), np.minimum(high, limits.highest)
    for raw in pinned_raw:
        cell = int(target.places.cells(raw))
        nearest = math.floor((target.lowest[cell] + target.highest[cell]) / 2.0 + 0.5)
        low[cell] = high[cell] = min(max(nearest, limits.lowest), limits.highest)
    # a rising table cannot use an integer below one it must have reached already
    low = np.maximum.accumulate(low)
    high = np.minimum.accumulate(high[::-1])[::-1]
    if (low > high).any():
        raise _unreachable(target, limits, max_error)
    return Tunnel(places=target.places, low=low, high=high)


def _unreachable(target: Target, limits: Limits, max_error: float) -> TableError:
    best = reachable_error(target, limits)
    cell = int(
        np.argmax(
            target.errors(np.clip(np.rint(target.lowest), limits.lowest, limits.highest).astype(np.int64))
        )
    )
    beyond = max(limits.lowest - target.highest[cell], target.lowest[cell] - limits.highest)
    if beyond > 1.0:
        return TableError(
            "the limits are narrower than the table",
            found=f"a command of {target.lowest[cell]:.6g} outside {limits.lowest} to {limits.highest}",
            accepted="wider limits, or a scale that stays inside them",
        )
    return TableError(
        "the error bound is below what integers can reach",
        found=max_error,
        accepted=f"{math.ceil(best * 1000) / 1000:g} or more, in output units",
    )
