"""The figures of a fit: what it can be held to, each by its standard, or null with the reason."""

from __future__ import annotations

from typing import Any

import numpy as np

from gaugecore.calibration.accuracy_class import accuracy_class
from gaugecore.calibration.linearity import linearity
from gaugecore.calibration.observations import Bools, Floats, Observations
from gaugecore.calibration.positioning import APPROACHES_ASKED, positioning
from gaugecore.calibration.readings import Direction
from gaugecore.calibration.result import Fit
from gaugecore.calibration.span_figures import PAIRS_ASKED, span_figures

_FEWEST_TARGETS = 3


def figures_of(
    fit: Fit, seen: Observations, trusted: Bools, *, scatter_deg: float
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Return the figures and a sentence for each that is null or rests on too little.

    Parameters
    ----------
    fit : Fit
        The fit, its figures still empty.
    seen : Observations
        All rows, directions put right.
    trusted : ndarray of bool, shape (n,)
        Rows that the fit believes.
    scatter_deg : float
        Scatter of a reading beyond its rounding.
    """
    u = np.asarray(fit.knots.standard_uncertainty_deg)
    span = fit.angle_range_deg[1] - fit.angle_range_deg[0]
    commands, means = _means(seen, trusted)
    figures: dict[str, Any] = {
        "readings": int(trusted.sum()),
        "resolution_deg": seen.resolution_deg or None,
        "scatter_deg": scatter_deg,
        "span_deg": span,
        "uncertainty_deg": {"median": float(np.median(u)), "largest": float(u.max())},
        "accuracy_class": accuracy_class(u, span_deg=span).model_dump(),
        "linearity": linearity(commands, means).model_dump() if commands.size >= _FEWEST_TARGETS else None,
        "positioning": None,
        "span_figures": None,
    }
    up, down = _deviations(fit, seen, trusted)
    said: list[str] = []
    fewest = min((v.size for v in up + down), default=0)
    if len(up) < _FEWEST_TARGETS:
        said.append(
            "figures by ISO 230-2 and 43 CFR 3175.135 are not known: they need targets read from both sides"
        )
        return figures, tuple(said)
    figures["span_figures"] = span_figures(up, down, span=span).model_dump()
    if fewest < PAIRS_ASKED:
        said.append(f"figures by 43 CFR 3175.135 rest on {fewest} of the {PAIRS_ASKED} pairs it asks for")
    if fewest < 2:
        said.append("positioning by ISO 230-2 is not known: it needs the same commands in several cycles")
        return figures, tuple(said)
    figures["positioning"] = positioning(up, down).model_dump(mode="json")
    if fewest < APPROACHES_ASKED:
        said.append(
            f"positioning by ISO 230-2 rests on {fewest} of the {APPROACHES_ASKED} approaches it asks for"
        )
    return figures, tuple(said)


def _means(seen: Observations, trusted: Bools) -> tuple[Floats, Floats]:
    """Return the mean angle at every command."""
    commands = np.unique(seen.command[trusted])
    return commands, np.array([seen.angle_deg[trusted & (seen.command == c)].mean() for c in commands])


def _deviations(fit: Fit, seen: Observations, trusted: Bools) -> tuple[list[Floats], list[Floats]]:
    """Return reading less target at every command read from both sides, in the order of the dial angles.

    The target of a command is where the fit puts the needle between both directions, so the reversal shows.
    """
    inside = trusted & (seen.command >= fit.command_range[0]) & (seen.command <= fit.command_range[1])
    up: list[Floats] = []
    down: list[Floats] = []
    targets = np.unique(seen.command[inside])
    for command in targets if seen.sense > 0 else targets[::-1]:
        rows = inside & (seen.command == command)
        from_below, from_above = rows & (seen.side < 0), rows & (seen.side > 0)
        if from_below.any() and from_above.any():
            target = float(fit.angles(command, Direction.UNKNOWN)[0])
            up.append(seen.angle_deg[from_below] - target)
            down.append(seen.angle_deg[from_above] - target)
    return up, down
