"""What a drive may be like before it is read: a grid of suppositions, and the covariance each one means.

A supposition says how far the drive may bend away from a line, over how long a stretch, whether it may have a
worn patch, how uneven the lost motion may be, and how much the readings scatter beyond their rounding. The
fit does not choose one; it weighs all of them by how well they foretell the readings.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np

from gaugecore.calibration.observations import Floats, Ints

# Standard deviations of what is added to the line; wide enough that the readings decide.
_OFFSET_DEG, _TILT_DEG = 10.0, 20.0
#: Lost motion before it is seen: a dead band of 0.2-1° and slack of 0.2-1.5° are common, no source.
GAP_DEG, GAP_SPREAD_DEG = 1.2, 0.6
_PATCH_LENGTH = 0.06  # of the swept commands: a worn patch of a pot track
_UNEVEN_LENGTH = 0.6

# The grid: how far a drive may bend (degrees, at 150° of travel), and over what share of its travel.
_Ladders = tuple[tuple[float, ...], tuple[float, ...]]
_SERVO: _Ladders = ((0.5, 1.2, 3.0), (0.14, 0.22, 0.35, 0.7))
_SERVO_COARSE: _Ladders = ((0.8, 2.5), (0.25, 0.6))
_STEPPER: _Ladders = ((0.4, 1.2), (0.5, 1.0))
_STEPPER_COARSE: _Ladders = ((0.8,), (0.8,))
# Waves a turn of some gear wheel leaves: amplitude and period, both in degrees; the first is none.
_NO_WAVE: tuple[tuple[float, float], ...] = ((0.0, 1.0),)
_WAVES = (
    *_NO_WAVE,
    *((0.4, period) for period in (20.0, 24.0, 30.0, 36.0, 40.0, 45.0, 60.0, 72.0, 90.0, 120.0)),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Suppositions:
    """A grid of suppositions; all of shape (h,).

    Attributes
    ----------
    bend_deg, bend_length : ndarray
        Standard deviation of the smooth deviation, and its reach as a share of the swept commands.
    patch_deg : ndarray
        Standard deviation of short-reaching deviations.
    wave_deg, wave_period_deg : ndarray
        Standard deviation and period of a wave of the gear; 0 without.
    uneven_deg : ndarray
        How much the lost motion may vary along the arc.
    warming_deg : ndarray
        How far the first reading may be off because the drive was still cold.
    scatter_deg : ndarray
        Scatter of a reading beyond the rounding.
    log_prior : ndarray
        Logarithm of the belief before any reading.
    """

    bend_deg: Floats
    bend_length: Floats
    patch_deg: Floats
    wave_deg: Floats
    wave_period_deg: Floats
    uneven_deg: Floats
    warming_deg: Floats
    scatter_deg: Floats
    log_prior: Floats

    @property
    def size(self) -> int:
        """Return how many there are."""
        return int(self.bend_deg.size)

    def covariance(
        self, x: Floats, side: Floats, other_x: Floats, other_side: Floats, span_deg: float
    ) -> Floats:
        """Return the covariance of needle angles, shape (h, n, m), without the scatter of reading.

        Parameters
        ----------
        x, other_x : ndarray, shape (n,) and (m,)
            Commands as a share of the swept range.
        side, other_side : ndarray, shape (n,) and (m,)
            +1 from above, -1 from below, 0 unknown.
        span_deg : float
            Dial angle swept, which turns ``x`` into degrees for the gear's wave.
        """
        apart = np.abs(x[:, None] - other_x[None, :])
        line = _OFFSET_DEG**2 + _TILT_DEG**2 * (x[:, None] - 0.5) * (other_x[None, :] - 0.5)
        sides = side[:, None] * other_side[None, :] / 4.0
        total = np.broadcast_to(line + GAP_SPREAD_DEG**2 * sides, (self.size, *apart.shape)).copy()
        # the same stretch or period serves many suppositions: each shape is worked out once
        for length in np.unique(self.bend_length):
            total += np.where(self.bend_length == length, self.bend_deg**2, 0.0)[:, None, None] * _smooth(
                apart / length
            )
        total += (self.patch_deg**2)[:, None, None] * _rough(apart / _PATCH_LENGTH)
        total += (self.uneven_deg**2)[:, None, None] * (sides * _smooth(apart / _UNEVEN_LENGTH))
        for period in np.unique(self.wave_period_deg[self.wave_deg > 0]):
            wave = np.where(self.wave_period_deg == period, self.wave_deg**2, 0.0)
            total += wave[:, None, None] * np.cos(2 * np.pi * apart * span_deg / period)
        return total

    def only(self, chosen: Ints) -> Suppositions:
        """Return some of them, by index; one may come more than once."""
        return Suppositions(**{name: getattr(self, name)[chosen] for name in self.__slots__})

    def variance(self, x: Floats, side: Floats) -> Floats:
        """Return the variance of needle angles at commands, shape (h, n)."""
        line = _OFFSET_DEG**2 + _TILT_DEG**2 * (x - 0.5) ** 2
        own = self.bend_deg**2 + self.patch_deg**2 + self.wave_deg**2
        gap = (GAP_SPREAD_DEG**2 + self.uneven_deg**2)[:, None] * side**2 / 4.0
        return np.asarray(own[:, None] + line + gap)


def gap_covariance(grid: Suppositions, x: Floats, other_x: Floats) -> Floats:
    """Return the covariance of the lost motion along the commands, shape (h, n, m)."""
    apart = np.abs(x[:, None] - other_x[None, :])
    return np.asarray(
        GAP_SPREAD_DEG**2 + (grid.uneven_deg**2)[:, None, None] * _smooth(apart / _UNEVEN_LENGTH)
    )


def _smooth(distance: Floats) -> Floats:
    """Return the Matérn correlation of order 5/2: twice differentiable, as a well-made drive is."""
    d = np.sqrt(5.0) * distance
    return np.asarray((1.0 + d + d**2 / 3.0) * np.exp(-d))


def _rough(distance: Floats) -> Floats:
    """Return the Matérn correlation of order 3/2: once differentiable, as the edge of a worn patch is."""
    d = np.sqrt(3.0) * distance
    return np.asarray((1.0 + d) * np.exp(-d))


def suppositions(kind: Literal["servo", "stepper"], span_deg: float, *, coarse: bool = False) -> Suppositions:
    """Return the grid for a kind of movement; the coarse one is for quick comparisons."""
    # a drive that swings wider bends by more degrees
    scale = float(np.clip(abs(span_deg) / 150.0, 0.25, 3.0))
    if kind == "servo":
        bends, lengths = _SERVO_COARSE if coarse else _SERVO
        patches = (0.3,) if coarse else (0.0, 0.5)
        waves = _NO_WAVE
    else:
        bends, lengths = _STEPPER_COARSE if coarse else _STEPPER
        patches = (0.3,) if coarse else (0.0,)
        waves = _NO_WAVE if coarse else _WAVES
    scatters = (0.25, 0.6) if coarse else (0.13, 0.2, 0.3, 0.45, 0.7, 1.1)
    warmings = (0.1, 0.7) if kind == "servo" and not coarse else (0.1,)
    grid = np.array(
        [
            (b, n, p, *w, t, s)
            for b, n, p, w, t, s in product(bends, lengths, patches, waves, warmings, scatters)
        ]
    )
    bend, length, patch, wave, period, warming, scatter = grid.T
    log_prior = (
        -0.5 * (np.log(bend / 1.2) / 0.7) ** 2
        - 0.5 * (np.log(scatter / 0.25) / 0.6) ** 2
        - np.where(warming > 0.5, 1.0, 0.0)
        # a worn patch is the exception; supposed too readily, it makes the band wider than need be
        - np.where((patch > 0) & (len(patches) > 1), 1.0, 0.0)
        - np.where((wave > 0), np.log(max(1, len(waves) - 1)), 0.0)
    )
    return Suppositions(
        bend_deg=bend * scale,
        bend_length=length,
        patch_deg=patch * scale,
        wave_deg=wave,
        wave_period_deg=period,
        uneven_deg=np.full(bend.size, 0.12),
        warming_deg=warming,
        scatter_deg=scatter,
        log_prior=log_prior - float(np.log(np.exp(log_prior).sum())),
    )
