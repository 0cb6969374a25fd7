"""What the order of the rows tells: directions not noted, directions swapped, rows written twice."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from gaugecore.calibration.observations import Bools, Floats, Observations

#: Share of the noted directions that must agree with the order before the order is believed.
_ENOUGH_AGREE = 0.75
_FEWEST_TO_JUDGE = 5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RowOrder:
    """The observations with their directions put right, and what was done to them; arrays of shape (n,).

    Attributes
    ----------
    seen : Observations
        With directions filled in and turned round as the order says.
    order_known : ndarray of bool
        True where the order says from which side the needle came, and is believed.
    filled, turned, doubled : ndarray of bool
        Direction taken from the order; direction noted against the order; the row before written again.
    """

    seen: Observations
    order_known: Bools
    filled: Bools
    turned: Bools
    doubled: Bools


def read_order(seen: Observations) -> RowOrder:
    """Return what the order of the rows tells; nothing is changed where it tells nothing."""
    by_order = _side_by_order(seen)
    says = by_order != 0
    noted = says & (seen.side != 0)
    agree = float(np.mean(by_order[noted] == seen.side[noted])) if noted.any() else 0.0
    none = np.zeros(seen.size, dtype=np.bool_)
    believed = (noted.sum() >= _FEWEST_TO_JUDGE and agree >= _ENOUGH_AGREE) or (
        not noted.any() and _is_a_sweep(by_order)
    )
    filled = says & (seen.side == 0) if believed else none
    turned = noted & (by_order != seen.side) & ~seen.kept if believed else none
    return RowOrder(
        seen=replace(seen, side=np.where(filled | turned, by_order, seen.side)),
        order_known=says if believed else none,
        filled=filled,
        turned=turned,
        doubled=_doubled(seen),
    )


def _side_by_order(seen: Observations) -> Floats:
    """Return from which side each needle arrived by the command before it; 0 where that says nothing."""
    by_order = np.zeros(seen.size)
    if seen.size > 1:
        by_order[1:] = -np.sign(np.diff(seen.command)) * seen.sense
        # the first row is where a sweep begins; it continues as the second does
        by_order[0] = by_order[1]
    return by_order


def _is_a_sweep(by_order: Floats) -> bool:
    """Return whether the rows run along the arc with few turns."""
    steps = by_order[by_order != 0]
    turns = int(np.sum(np.diff(steps) != 0))
    return bool(steps.size >= 4 and turns <= max(1, steps.size // 5))


def _doubled(seen: Observations) -> Bools:
    doubled = ~seen.kept
    doubled[:1] = False
    doubled[1:] &= np.diff(seen.row) == 1
    for column in (seen.command, seen.angle_deg, seen.side, seen.cycle):
        doubled[1:] &= np.diff(column) == 0
    return doubled
