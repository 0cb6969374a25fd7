"""The four-bar: crank, link and arm between two fixed shafts, exactly.

Positions come from the two circles that the link and the arm can reach (textbook: position analysis of the
four-bar by the diagonal; the velocity ratio from the common instant centre). Angles are clockwise from the
line that runs from the crank's shaft to the arm's shaft, like dial angles; the mechanism is the same seen in
a mirror, so the sense does not enter the formulas.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]

#: Closer to a toggle than this the arm's angle has no usable slope.
_FLAT = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class FourBar:
    """Lengths of the four bars.

    Attributes
    ----------
    ground_mm, crank_mm, link_mm, arm_mm : float
        Shaft to shaft; on the driving shaft; between; on the driven shaft.
    crossed : bool
        Which of the two ways to assemble it.
    """

    ground_mm: float
    crank_mm: float
    link_mm: float
    arm_mm: float
    crossed: bool = False

    def diagonal_mm(self, crank_deg: float) -> float:
        """Return the distance from the end of the crank to the arm's shaft."""
        return float(self._diagonals_mm(np.asarray(crank_deg)))

    def transmission_deg(self, crank_deg: float) -> float | None:
        """Return the angle between link and arm, 0 to 180; None where it cannot be assembled.

        Force passes best at 90 degrees and not at all at 0 and 180, where the crank's motion toggles.
        """
        return _known(self.transmissions_deg(np.asarray(crank_deg)))

    def arm_deg(self, crank_deg: float) -> float | None:
        """Return where the arm points, in (-180, 180]; None where it cannot be assembled."""
        return _known(self.arms_deg(np.asarray(crank_deg)))

    def velocity_ratio(self, crank_deg: float) -> float | None:
        """Return the arm's speed by the crank's, with its sign; None at a toggle."""
        return _known(self.velocity_ratios(np.asarray(crank_deg)))

    def transmissions_deg(self, crank_deg: Reals) -> Reals:
        """Return the angles between link and arm for many crank angles; NaN where there is none."""
        cosine = (self.link_mm**2 + self.arm_mm**2 - self._diagonals_mm(crank_deg) ** 2) / (
            2.0 * self.link_mm * self.arm_mm
        )
        return np.degrees(np.arccos(np.where(np.abs(cosine) <= 1.0, cosine, np.nan)))

    def arms_deg(self, crank_deg: Reals) -> Reals:
        """Return where the arm points for many crank angles, each in (-180, 180]; NaN where it cannot be."""
        diagonal_mm = self._diagonals_mm(crank_deg)
        rad = np.radians(crank_deg)
        to_crank = np.arctan2(self.crank_mm * np.sin(rad), self.crank_mm * np.cos(rad) - self.ground_mm)
        with np.errstate(divide="ignore", invalid="ignore"):
            cosine = (diagonal_mm**2 + self.arm_mm**2 - self.link_mm**2) / (2.0 * diagonal_mm * self.arm_mm)
        possible = np.isfinite(self.transmissions_deg(crank_deg)) & np.isfinite(cosine)
        beside = np.arccos(np.clip(np.where(possible, cosine, np.nan), -1.0, 1.0))
        arm = to_crank + (beside if self.crossed else -beside)
        return np.asarray(180.0 - (180.0 - np.degrees(arm)) % 360.0)

    def velocity_ratios(self, crank_deg: Reals) -> Reals:
        """Return the arm's speed by the crank's for many crank angles; NaN at a toggle and beyond."""
        crank_rad, arm_rad = np.radians(crank_deg), np.radians(self.arms_deg(crank_deg))
        x_mm = self.ground_mm + self.arm_mm * np.cos(arm_rad) - self.crank_mm * np.cos(crank_rad)
        y_mm = self.arm_mm * np.sin(arm_rad) - self.crank_mm * np.sin(crank_rad)
        link_rad = np.arctan2(y_mm, x_mm)
        beneath = self.arm_mm * np.sin(arm_rad - link_rad)
        flat = np.abs(beneath) < _FLAT * self.arm_mm
        return np.asarray(
            self.crank_mm * np.sin(crank_rad - link_rad) / np.where(flat, np.nan, beneath), dtype=np.float64
        )

    def turn_deg(self, from_deg: float, to_deg: float) -> float | None:
        """Return how far the arm turns while the crank goes from one angle to another, without a jump.

        None if the crank cannot get there: the mechanism toggles on the way.
        """
        n_steps = max(2, int(np.ceil(abs(to_deg - from_deg) / 2.0)) + 1)
        path = self.arms_deg(np.linspace(from_deg, to_deg, n_steps))
        if np.isnan(path).any():
            return None
        unwrapped = np.unwrap(path, period=360.0)
        return float(unwrapped[-1] - unwrapped[0])

    def _diagonals_mm(self, crank_deg: Reals) -> Reals:
        cosine = np.cos(np.radians(crank_deg))
        square = self.ground_mm**2 + self.crank_mm**2 - 2.0 * self.ground_mm * self.crank_mm * cosine
        return np.sqrt(np.maximum(square, 0.0))

    def slack_deg(self, crank_deg: float, play_mm: float) -> float:
        """Return the arm's slack for a play along the link."""
        angle = self.transmission_deg(crank_deg)
        if angle is None or not 0.0 < angle < 180.0:
            return 180.0
        return float(np.degrees(play_mm / (self.arm_mm * np.sin(np.radians(angle)))))

    def crank_limits_deg(self, from_deg: float) -> tuple[float, float] | None:
        """Return the toggle limits of the crank around an angle; None if it goes all the way round.

        At a limit link and arm lie in one line, stretched or folded.
        """
        limits: set[float] = set()
        for reach_mm in (self.link_mm + self.arm_mm, abs(self.link_mm - self.arm_mm)):
            cosine = (self.ground_mm**2 + self.crank_mm**2 - reach_mm**2) / (
                2.0 * self.ground_mm * self.crank_mm
            )
            # at a change point the cosine is 1 but for rounding
            if abs(cosine) <= 1.0 + _FLAT:
                at = float(np.degrees(np.arccos(min(1.0, max(-1.0, cosine)))))
                limits.update({at, -at})
        if not limits:
            return None
        here = 180.0 - (180.0 - from_deg) % 360.0
        turns = sorted(at + turn for at in limits for turn in (-360.0, 0.0, 360.0))
        below = max(at for at in turns if at <= here)
        above = min(at for at in turns if at >= here)
        return below + from_deg - here, above + from_deg - here


def _known(value: Reals) -> float | None:
    return None if np.isnan(value) else float(value)
