"""How far the needle ends up from where it should: the score of a map on a drive whose truth is known."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tests.bench.drives import DOWN, UP, Drive, Floats

#: A map: target dial angles and side of arrival to commands.
Map = Callable[[Floats, float], Floats]
_TARGETS = 241


def targets_deg(drive: Drive) -> Floats:
    """Return a dense grid of dial angles that the needle can be brought to from both sides."""
    ends = drive.command[[0, -1]]
    low = max(drive.rest_deg(ends[0], UP), drive.rest_deg(ends[0], DOWN))
    high = min(drive.rest_deg(ends[1], UP), drive.rest_deg(ends[1], DOWN))
    return np.linspace(float(low), float(high), _TARGETS)


def errors_deg(drive: Drive, steer: Map, rng: np.random.Generator) -> Floats:
    """Return needle minus target, both sides, shape (2, targets)."""
    wanted = targets_deg(drive)
    return np.array([drive.needle_deg(steer(wanted, side), np.full(wanted.size, side), rng) - wanted
                     for side in (UP, DOWN)])  # fmt: skip


def p95(errors: Floats) -> float:
    """Return the 95th percentile of the absolute error."""
    return float(np.percentile(np.abs(errors), 95))


def best_single_map(drive: Drive) -> Map:
    """Return the best map that does not know the direction: the middle between both rests."""
    middle = (drive.rest_deg(drive.command, UP) + drive.rest_deg(drive.command, DOWN)) / 2
    return lambda wanted, side: np.interp(wanted, middle, drive.command)


def best_map_per_direction(drive: Drive) -> Map:
    """Return the best map there is: the truth, inverted for each side."""

    def steer(wanted: Floats, side: float) -> Floats:
        return np.interp(wanted, drive.rest_deg(drive.command, side), drive.command)

    return steer
