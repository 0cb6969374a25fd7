"""Positioning by ISO 230-2: deviations at targets approached again and again from both sides.

Definitions as in ISO 230-2:2006/2014 (most from memory, the accuracy formula seen in a secondary source). Two
standard deviations are used, as there. R is the largest R_i and E the range of means over all positions and
both directions, by definition, though reports exist that print something else.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from gaugecore.errors import FitError
from gaugecore.values import Part

#: The standard asks for five approaches; with fewer the figures are still told, with a warning.
APPROACHES_ASKED = 5


class Positioning(Part):
    """The figures, in the unit of the deviations.

    Attributes
    ----------
    mean_up, mean_down, mean : tuple of float
        Mean deviation at every target, from below, from above, and the mean of both.
    reversal : tuple of float
        Mean deviation from below less that from above, at every target.
    spread_up, spread_down : tuple of float
        Sample standard deviation at every target.
    repeatability_at : tuple of float
        R_i, the bidirectional repeatability at every target.
    reversal_largest, reversal_mean : float
        B (the largest by size) and the signed mean of the B_i.
    repeatability, repeatability_up, repeatability_down : float
        R, and of each direction: four standard deviations.
    systematic, systematic_up, systematic_down : float
        E, and of each direction: the range of the mean deviations.
    mean_range : float
        M: the range of the mean bidirectional deviations.
    accuracy, accuracy_up, accuracy_down : float
        A, and of each direction.
    approaches : int
        Fewest approaches at any target from one side.
    """

    mean_up: tuple[float, ...]
    mean_down: tuple[float, ...]
    mean: tuple[float, ...]
    reversal: tuple[float, ...]
    spread_up: tuple[float, ...]
    spread_down: tuple[float, ...]
    repeatability_at: tuple[float, ...]
    reversal_largest: float
    reversal_mean: float
    repeatability: float
    repeatability_up: float
    repeatability_down: float
    systematic: float
    systematic_up: float
    systematic_down: float
    mean_range: float
    accuracy: float
    accuracy_up: float
    accuracy_down: float
    approaches: int


def positioning(up: Sequence[ArrayLike], down: Sequence[ArrayLike]) -> Positioning:
    """Return the figures of ISO 230-2.

    Parameters
    ----------
    up, down : sequence of array_like
        Deviations (actual less target) at every target, from below and from above; at least two of each.

    Raises
    ------
    FitError
        If the numbers of targets differ, or a target was approached fewer than twice from a side.
    """
    ups, downs = (
        [np.asarray(v, dtype=np.float64) for v in up],
        [np.asarray(v, dtype=np.float64) for v in down],
    )
    fewest = min((v.size for v in ups + downs), default=0)
    if len(ups) != len(downs) or fewest < 2:
        raise FitError(
            "positioning figures need every target approached from both sides again and again",
            found=f"{len(ups)} targets from below, {len(downs)} from above, {fewest} approaches at the least",
            accepted="the same targets both ways, at least 2 approaches each (ISO 230-2 asks for 5)",
        )
    mean_up, mean_down = np.array([v.mean() for v in ups]), np.array([v.mean() for v in downs])
    s_up, s_down = np.array([v.std(ddof=1) for v in ups]), np.array([v.std(ddof=1) for v in downs])
    mean, reversal = (mean_up + mean_down) / 2.0, mean_up - mean_down
    repeats = np.max([2 * s_up + 2 * s_down + np.abs(reversal), 4 * s_up, 4 * s_down], axis=0)
    both = np.concatenate([mean_up, mean_down])
    two_s = 2.0 * np.concatenate([s_up, s_down])
    n = mean_up.size
    vectors: dict[str, Any] = {
        "mean_up": mean_up, "mean_down": mean_down, "mean": mean, "reversal": reversal,
        "spread_up": s_up, "spread_down": s_down, "repeatability_at": repeats,
    }  # fmt: skip
    return Positioning(
        **{name: tuple(values.tolist()) for name, values in vectors.items()},
        reversal_largest=float(np.abs(reversal).max()),
        reversal_mean=float(reversal.mean()),
        repeatability=float(repeats.max()),
        repeatability_up=float(4 * s_up.max()),
        repeatability_down=float(4 * s_down.max()),
        systematic=float(np.ptp(both)),
        systematic_up=float(np.ptp(mean_up)),
        systematic_down=float(np.ptp(mean_down)),
        mean_range=float(np.ptp(mean)),
        accuracy=float((both + two_s).max() - (both - two_s).min()),
        accuracy_up=float((both + two_s)[:n].max() - (both - two_s)[:n].min()),
        accuracy_down=float((both + two_s)[n:].max() - (both - two_s)[n:].min()),
        approaches=int(fewest),
    )
