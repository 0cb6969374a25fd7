"""The pointing budget: how far off the needle will be, before any hardware is bought.

Each cause is a band of a certain half-width at the needle, all values in it equally likely, so its standard
uncertainty is the half-width by √3; causes are independent and add as squares; the expected error is twice
the root, which covers about 95 % (GUM, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import sqrt

from gaugecore.movement.reach import reach, used_travel_deg
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.train import CrankLink, Direct, GearPair, slack_at_pointer_deg

#: EN 837-1:1996 table 11: largest permissible error in percent of span.
CLASSES = (0.1, 0.25, 0.6, 1.0, 1.6, 2.5, 4.0)


class Care(Enum):
    """How much of the calibration is done; each takes out more."""

    NONE = "none"  #: commands in proportion between the two ends
    CALIBRATED = "calibrated"  #: one map for both directions
    PER_DIRECTION = "per direction"  #: a map for each direction of approach


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One cause of pointing error.

    Attributes
    ----------
    name : str
    half_width_deg : float
        At the needle.
    gone_with : Care or None
        From which care on it no longer counts; None: it always does.
    """

    name: str
    half_width_deg: float
    gone_with: Care | None = None

    def counts(self, care: Care) -> bool:
        """Return whether it is left at a degree of care."""
        order = list(Care)
        return self.gone_with is None or order.index(care) < order.index(self.gone_with)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pointing:
    """The expected pointing of a dial.

    Attributes
    ----------
    causes : tuple of Cause
    arc_deg : float
        Span of the scale.
    resolution_deg : float
        Smallest turn of the needle that can be commanded with effect.
    """

    causes: tuple[Cause, ...]
    arc_deg: float
    resolution_deg: float

    def expected_deg(self, care: Care) -> float:
        """Return the expected error, about 95 %."""
        return 2.0 * sqrt(sum(c.half_width_deg**2 / 3.0 for c in self.causes if c.counts(care)))

    def worst_deg(self, care: Care) -> float:
        """Return the error when everything is at its worst in the same sense."""
        return sum(c.half_width_deg for c in self.causes if c.counts(care))

    def accuracy_class(self, care: Care) -> float | None:
        """Return the EN 837-1 class that the expected error allows; None when it is worse than class 4."""
        percent = self.expected_deg(care) / self.arc_deg * 100.0
        return next((limit for limit in CLASSES if percent <= limit), None)


def pointing(
    movement: Servo | Stepper,
    train: Direct | GearPair | CrankLink,
    *,
    arc_deg: float,
    reading_deg: float = 0.5,
    face_deg: float = 0.3,
) -> Pointing:
    """Return the pointing budget of a dial.

    Parameters
    ----------
    arc_deg : float
        Span of the scale, more than 0.
    reading_deg : float
        Half-width of the error of reading the needle while calibrating; half a degree is a careful eye.
    face_deg : float
        Half-width of the error of the face: printing, cutting, centring. Calibration at the needle against
        the face takes it out.

    Notes
    -----
    The slack of movement and train, and a servo's dead band, show as a difference between the directions of
    approach; a map for each direction takes them out, all but a quarter, since drive and load vary.
    """
    ratio = reach(train, used_travel_deg(train, movement.travel_deg, arc_deg)).most_slope
    step_deg = movement.command_step_deg * ratio
    band_deg = movement.dead_band_deg * ratio
    slack_deg = movement.slack_deg * ratio
    train_deg = slack_at_pointer_deg(train)
    lost_deg = slack_deg + train_deg
    causes = [Cause(name="command step", half_width_deg=step_deg / 2.0)]
    if isinstance(movement, Servo):
        causes += [
            Cause(name="servo not linear", half_width_deg=movement.nonlinearity_deg * ratio, gone_with=_CAL),
            Cause(name="dead band", half_width_deg=band_deg / 2.0, gone_with=_DIR),
        ]
        lost_deg += band_deg
    else:
        causes.append(Cause(name="unequal steps", half_width_deg=band_deg))
    causes += [
        Cause(name="slack of the movement", half_width_deg=slack_deg / 2.0, gone_with=_DIR),
        Cause(name="slack of the train", half_width_deg=train_deg / 2.0, gone_with=_DIR),
        Cause(name="what varies of the lost motion", half_width_deg=lost_deg / 8.0),
        Cause(name="face", half_width_deg=face_deg, gone_with=_CAL),
        Cause(name="reading", half_width_deg=reading_deg),
    ]
    return Pointing(
        causes=tuple(cause for cause in causes if cause.half_width_deg > 0.0),
        arc_deg=arc_deg,
        resolution_deg=max(step_deg, band_deg) if isinstance(movement, Servo) else step_deg,
    )


_CAL, _DIR = Care.CALIBRATED, Care.PER_DIRECTION
