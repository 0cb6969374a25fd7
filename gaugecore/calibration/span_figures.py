"""Hysteresis, repeatability and largest error in percent of span, by 43 CFR 3175.135 (US law).

Hysteresis: the largest difference between the ascending and the descending value at one input of a test pair.
Repeatability: the largest difference among the ascending, or among the descending, values at one input.
Maximum error: the largest difference between input and output. The rule asks for at least three pairs.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from gaugecore.errors import FitError
from gaugecore.values import Part

PAIRS_ASKED = 3


class SpanFigures(Part):
    """The figures, each in percent of span; ``pairs`` is how many test pairs they rest on."""

    hysteresis_percent: float
    repeatability_percent: float | None
    maximum_error_percent: float
    pairs: int


def span_figures(up: Sequence[ArrayLike], down: Sequence[ArrayLike], *, span: float) -> SpanFigures:
    """Return the figures.

    Parameters
    ----------
    up, down : sequence of array_like
        Errors (output less input) at every target, ascending and descending, in the order of the pairs.
    span : float
        Width of the range, in the same unit.

    Raises
    ------
    FitError
        If there is no span, or no target with values from both sides.
    """
    ups, downs = (
        [np.asarray(v, dtype=np.float64) for v in up],
        [np.asarray(v, dtype=np.float64) for v in down],
    )
    pairs = min((min(u.size, d.size) for u, d in zip(ups, downs, strict=True)), default=0)
    if not span > 0 or pairs < 1:
        raise FitError(
            "figures in percent of span need a span and every target read from both sides",
            found=f"a span of {span:g} and {pairs} pairs",
            accepted=f"a span above 0 and pairs at every target (43 CFR 3175.135 asks for {PAIRS_ASKED})",
        )
    hysteresis = max(
        float(np.abs(u[:k] - d[:k]).max())
        for u, d in zip(ups, downs, strict=True)
        for k in (min(u.size, d.size),)
    )
    repeat = max(float(np.ptp(v)) for v in ups + downs) if pairs > 1 else None
    largest = max(float(np.abs(v).max()) for v in ups + downs)
    return SpanFigures(
        hysteresis_percent=100.0 * hysteresis / span,
        repeatability_percent=None if repeat is None else 100.0 * repeat / span,
        maximum_error_percent=100.0 * largest / span,
        pairs=int(pairs),
    )
