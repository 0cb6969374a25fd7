"""Readings that no fit can be made of, and what to say about them."""

from __future__ import annotations

from typing import Literal

import numpy as np

from gaugecore.calibration.observations import Bools, Observations
from gaugecore.errors import FitError

FEWEST_READINGS = 5
#: Pulses a hobby servo can be sent at all (as in the servo's model); outside it is some other quantity.
_PULSES_US = (300.0, 3000.0)
_LARGEST_ANGLE_AS_COMMAND = 360.0
_LEAST_TRAVEL_DEG = 3.0
#: Beyond this share of doubtful rows nobody can say which rows are the truth.
_MOST_DOUBTFUL = 0.35
#: Rank correlation of a needle that follows its command, slips included.
_LEAST_CORRELATION = 0.7
_READ_AGAIN = "readings along the arc, from both sides"


def refuse_unusable(seen: Observations, kind: Literal["servo", "stepper"]) -> None:
    """Do nothing, or say why the readings cannot be fitted.

    Raises
    ------
    FitError
        If there are fewer than 5, all at one command, all at one angle, in wrong units, or without order.
    """
    if seen.size < FEWEST_READINGS:
        raise FitError(
            "too few readings for a fit",
            found=f"{seen.size} that count",
            accepted=f"at least {FEWEST_READINGS}",
        )
    if np.unique(seen.command).size < 3:
        raise FitError(
            "the readings are all at one or two commands",
            found=", ".join(f"{c:g}" for c in np.unique(seen.command)),
            accepted=_READ_AGAIN,
        )
    if kind == "servo":
        _refuse_no_pulses(seen)
    if float(np.ptp(seen.angle_deg)) < _LEAST_TRAVEL_DEG:
        raise FitError(
            "the needle hardly moves over all readings",
            found=f"{np.ptp(seen.angle_deg):g}° between the smallest and the largest angle",
            accepted=f"at least {_LEAST_TRAVEL_DEG:g}° of travel",
        )
    ranks = np.corrcoef(_ranks(seen.command), _ranks(seen.angle_deg))[0, 1]
    if abs(ranks) < _LEAST_CORRELATION:
        raise FitError(
            "the dial angle does not follow the command",
            found=f"a rank correlation of {ranks:.2f}",
            accepted="angles that run one way along the commands; check that both columns are of one needle",
        )


def refuse_doubtful(seen: Observations, doubtful: Bools) -> None:
    """Do nothing, or refuse readings of which too many contradict the others.

    Raises
    ------
    FitError
        If over a third of the rows are doubtful, or fewer than 4 are left.
    """
    if doubtful.mean() > _MOST_DOUBTFUL or (~doubtful).sum() < FEWEST_READINGS - 1:
        rows = ", ".join(str(row) for row in seen.row[doubtful][:12])
        raise FitError(
            "too many rows contradict the others to say which are right",
            found=f"{int(doubtful.sum())} of {seen.size}: rows {rows}",
            accepted=f"at most {_MOST_DOUBTFUL:.0%}; read the dial again",
        )


def refuse_negative_gap(gap_deg: float, uncertainty_deg: float, kind: Literal["servo", "stepper"]) -> None:
    """Do nothing, or refuse a needle that seems to run ahead of itself.

    Raises
    ------
    FitError
        If the reversal is clearly negative, which no slack can make.
    """
    if gap_deg < -max(0.4, 3.0 * uncertainty_deg):
        cause = (
            "home the stepper and read again, not past the ends: steps were probably lost at the top"
            if kind == "stepper"
            else "directions as the needle moved (up: rising dial angle, clockwise), not as the command did"
        )
        raise FitError(
            "the needle seems to stand lower when it comes from above, which lost motion cannot do",
            found=f"a reversal of {gap_deg:.2f}°",
            accepted=cause,
        )


def _refuse_no_pulses(seen: Observations) -> None:
    low, high = float(seen.command.min()), float(seen.command.max())
    if max(abs(low), abs(high)) <= _LARGEST_ANGLE_AS_COMMAND:
        raise FitError(
            "the commands look like degrees, not pulse widths",
            found=f"{low:g} to {high:g}",
            accepted="pulse widths in µs; are the columns command and angle_deg exchanged?",
        )
    outside = (seen.command < _PULSES_US[0]) | (seen.command > _PULSES_US[1])
    if outside.any():
        raise FitError(
            f"row {seen.row[outside][0]}: the command is no pulse a servo may be sent",
            found=f"{seen.command[outside][0]:g}",
            accepted=f"{_PULSES_US[0]:g} to {_PULSES_US[1]:g} µs",
        )


def _ranks(values: np.ndarray) -> np.ndarray:
    _, place, count = np.unique(values, return_inverse=True, return_counts=True)
    middle = np.cumsum(count) - (count - 1) / 2.0
    return np.asarray(middle[place])
