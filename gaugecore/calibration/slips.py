"""Slips of the pen: how likely a row is under each kind, and which kind to name.

The kinds are those people make: the scale misread by 5 or 10 degrees, two digits swapped, the direction
swapped, a row written twice. A remainder covers all else.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gaugecore.calibration.observations import Bools, Floats, Observations

#: Share of rows that are slips, before any is seen.
SLIP_RATE = 0.05
#: Shares of the kinds among slips; misread ±5°, ±10°, digits, direction, doubled, anything else.
_SHARES = (0.22, 0.22, 0.16, 0.14, 0.14, 0.12)
_ANYWHERE_DEG = 180.0
ANYTHING_ELSE = "far from what its neighbours say"
_KINDS = (
    "misread by 5°",
    "misread by 10°",
    "digits swapped",
    "direction swapped",
    "the angle of the row before written again",
    ANYTHING_ELSE,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SlipClues:
    """What each row would have read had a digit or a row not slipped; shape (n,), NaN where impossible."""

    swapped_deg: Floats
    doubled_density: Floats
    may_be_turned: Bools


def slip_clues(seen: Observations, order_known: Bools) -> SlipClues:
    """Return the clues that do not depend on the fit."""
    step = seen.resolution_deg or 0.1
    doubled = np.zeros(seen.size)
    same = (np.diff(seen.angle_deg) == 0) & (np.diff(seen.row) == 1) & (np.diff(seen.command) != 0)
    doubled[1:] = np.where(same, 1.0 / max(step, 0.5), 0.0)
    swapped = np.array([_swapped(angle) for angle in seen.angle_deg])
    return SlipClues(
        swapped_deg=swapped, doubled_density=doubled, may_be_turned=(seen.side != 0) & ~order_known
    )


def _swapped(angle_deg: float) -> float:
    """Return the angle with its last two whole digits exchanged, NaN when that changes nothing."""
    whole, fraction = divmod(abs(angle_deg), 1.0)
    tens, ones = divmod(int(whole) % 100, 10)
    if tens == ones:
        return float("nan")
    return float(np.copysign(int(whole) - int(whole) % 100 + ones * 10 + tens + fraction, angle_deg))


def log_slip_density(
    angle_deg: Floats, foretold: Floats, variance: Floats, gap: Floats, side: Floats, clues: SlipClues
) -> Floats:
    """Return the log density of readings supposing each is a slip, shape (..., n).

    Parameters
    ----------
    angle_deg, side : ndarray, shape (n,)
        What was read.
    foretold, variance : ndarray, shape (..., n)
        What the other rows foretell for it, scatter of reading included.
    gap : ndarray, shape (..., 1)
        Lost motion.
    clues : SlipClues
        Of the same rows.
    """
    total = sum(_by_kind(angle_deg, foretold, variance, gap, side, clues))
    return np.asarray(np.log(total))


def slip_reasons(
    angle_deg: Floats, foretold: Floats, variance: Floats, gap: float, side: Floats, clues: SlipClues
) -> list[str]:
    """Return the likeliest kind of slip for every row, as words; the last kind when none fits well."""
    kinds = np.array(_by_kind(angle_deg, foretold, variance, np.array([gap]), side, clues))
    return [_KINDS[i] for i in kinds.argmax(axis=0)]


def _by_kind(
    angle_deg: Floats, foretold: Floats, variance: Floats, gap: Floats, side: Floats, clues: SlipClues
) -> list[Floats]:
    off = angle_deg - foretold

    def at(distance: Floats) -> Floats:
        return np.asarray(np.exp(-0.5 * distance**2 / variance) / np.sqrt(2 * np.pi * variance))

    swapped = np.where(np.isnan(clues.swapped_deg), 0.0, at(np.nan_to_num(clues.swapped_deg) - foretold))
    return [
        _SHARES[0] * (at(off - 5.0) + at(off + 5.0)) / 2,
        _SHARES[1] * (at(off - 10.0) + at(off + 10.0)) / 2,
        _SHARES[2] * swapped,
        _SHARES[3] * np.where(clues.may_be_turned, at(off + side * gap), 0.0),
        _SHARES[4] * np.broadcast_to(clues.doubled_density, np.shape(off)),
        np.broadcast_to(np.asarray(_SHARES[5] / _ANYWHERE_DEG), np.shape(off)),
    ]
