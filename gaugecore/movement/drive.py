"""The movement as it moves: from commanded shaft angles to shaft angles, in small even steps of time.

A servo is a direct-current motor whose torque falls in a straight line to zero at full speed, driven in
proportion to what is left to go, with the gain at which it just does not overshoot with nothing on its shaft;
the pointer's inertia then shows as overshoot. A stepper follows its ramp and never overshoots. Both are
models of typical movements: they tell a lively needle from a lazy one, not the last degree.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, copysign, sqrt

import numpy as np
from numpy.typing import NDArray

from gaugecore.movement.mass import Mass
from gaugecore.movement.motion import Limits, own_inertia_gmm2
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper

#: Step of time; a tenth of the shortest usual run-up and less.
STEP_S = 0.001
#: Parts of a run-up that are told apart.
_FINE = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ServoDrive:
    """A servo with its load, all at its own shaft.

    Attributes
    ----------
    most_deg_per_s : float
        Speed without load.
    full_deg_per_s2 : float
        Acceleration from rest at full drive.
    band_deg : float
        What is left to go at which the drive is full.
    dead_deg : float
        What is left to go at which it does nothing, half of the dead band.
    drag_deg_per_s2 : float
        What friction takes away while it turns.
    """

    most_deg_per_s: float
    full_deg_per_s2: float
    band_deg: float
    dead_deg: float
    drag_deg_per_s2: float

    def follow(self, wanted_deg: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return where the shaft is, step by step, starting at rest on the first command.

        Parameters
        ----------
        wanted_deg : ndarray, shape (n,)
            Commanded shaft angle at every `STEP_S`.
        """
        angle, speed = float(wanted_deg[0]), 0.0
        # a light motor comes up to speed faster than our step of time: then it is divided
        parts = max(1, ceil(_FINE * STEP_S * self.full_deg_per_s2 / self.most_deg_per_s))
        path = np.empty_like(wanted_deg)
        for i, wanted in enumerate(wanted_deg.tolist()):
            path[i] = angle
            for _ in range(parts):
                speed = self._faster(wanted - angle, speed, STEP_S / parts)
                angle += speed * STEP_S / parts
        return path

    def _faster(self, left_deg: float, speed: float, seconds: float) -> float:
        drive = 0.0 if abs(left_deg) <= self.dead_deg else max(-1.0, min(1.0, left_deg / self.band_deg))
        push = self.full_deg_per_s2 * (drive - speed / self.most_deg_per_s)
        drag = self.drag_deg_per_s2
        if speed == 0.0:
            # friction holds what the motor does not overcome
            return 0.0 if abs(push) <= drag else (push - copysign(drag, push)) * seconds
        faster = speed + (push - copysign(drag, speed)) * seconds
        # friction stops a shaft, it does not turn it back
        return 0.0 if faster * speed < 0.0 and abs(push) <= drag else faster


@dataclass(frozen=True, slots=True, kw_only=True)
class StepperDrive:
    """A stepper that is ramped up and down, at its own shaft.

    Attributes
    ----------
    most_deg_per_s : float
    most_deg_per_s2 : float
    """

    most_deg_per_s: float
    most_deg_per_s2: float

    def follow(self, wanted_deg: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return where the shaft is, step by step, starting at rest on the first command.

        Parameters
        ----------
        wanted_deg : ndarray, shape (n,)
            Commanded shaft angle at every `STEP_S`.
        """
        return ramped(wanted_deg, self.most_deg_per_s, self.most_deg_per_s2)


def ramped(
    wanted_deg: NDArray[np.float64], most_deg_per_s: float, most_deg_per_s2: float
) -> NDArray[np.float64]:
    """Return the commands held to a speed and an acceleration, so that they stop where they should.

    Parameters
    ----------
    wanted_deg : ndarray, shape (n,)
        Commands at every `STEP_S`.
    most_deg_per_s, most_deg_per_s2 : float
        The limits, more than 0.
    """
    angle, speed = float(wanted_deg[0]), 0.0
    gain = most_deg_per_s2 * STEP_S
    path = np.empty_like(wanted_deg)
    for i, wanted in enumerate(wanted_deg.tolist()):
        path[i] = angle
        left = wanted - angle
        # the speed from which it can still stop in time, the step itself included
        stopping = sqrt(2.0 * most_deg_per_s2 * abs(left) + gain * gain / 4.0) - gain / 2.0
        towards = min(most_deg_per_s, stopping, abs(left) / STEP_S)
        aim = towards if left > 0.0 else -towards
        speed += max(-gain, min(gain, aim - speed))
        angle += speed * STEP_S
    return path


def drive_of(
    movement: Servo | Stepper, able: Limits, mass: Mass, most_slope: float
) -> ServoDrive | StepperDrive:
    """Return the movement with its load as it moves.

    Parameters
    ----------
    able : Limits
        Of movement, train and pointer.
    mass : Mass
        Of the pointer.
    most_slope : float
        The pointer's turn by the movement's, where it is largest.

    Notes
    -----
    The proportional band follows from critical damping of the bare servo: ω₀ the speed, τ the run-up, the
    motor obeys τ·θ″ + θ′ = ω₀·(left/band), which is critical at band = 4·τ·ω₀.
    """
    if isinstance(movement, Stepper):
        slope = max(most_slope, 1e-9)
        return StepperDrive(
            most_deg_per_s=able.speed_deg_per_s / slope,
            most_deg_per_s2=max(able.acceleration_deg_per_s2 / slope, 1e-6),
        )
    bare_gmm2 = own_inertia_gmm2(movement)
    whole_gmm2 = bare_gmm2 + mass.inertia_gmm2 * most_slope**2
    full = movement.most_deg_per_s / movement.run_up_s * bare_gmm2 / whole_gmm2
    friction_mnm = (able.load_mnm - mass.worst_unbalance_torque_mnm()) * most_slope
    return ServoDrive(
        most_deg_per_s=movement.most_deg_per_s,
        full_deg_per_s2=full,
        band_deg=4.0 * movement.run_up_s * movement.most_deg_per_s,
        dead_deg=movement.dead_band_deg / 2.0,
        drag_deg_per_s2=max(0.0, full * friction_mnm / movement.torque_mnm),
    )


def played(shaft_deg: NDArray[np.float64], slack_deg: float) -> NDArray[np.float64]:
    """Return what follows a shaft through slack: it is pushed from either side and else stays.

    Parameters
    ----------
    shaft_deg : ndarray, shape (n,)
    slack_deg : float
        Whole width of the slack; it starts in the middle.

    Examples
    --------
    >>> played(np.array([0.0, 2.0, 1.5, -1.0]), 1.0).tolist()
    [0.0, 1.5, 1.5, -0.5]
    """
    half = slack_deg / 2.0
    needle = float(shaft_deg[0])
    path = np.empty_like(shaft_deg)
    for i, shaft in enumerate(shaft_deg.tolist()):
        needle = max(shaft - half, min(shaft + half, needle))
        path[i] = needle
    return path


def smoothed(values: NDArray[np.float64], time_constant_s: float) -> NDArray[np.float64]:
    """Return values through a first-order low-pass filter; a time constant of 0 leaves them.

    Parameters
    ----------
    values : ndarray, shape (n,)
        One at every `STEP_S`.
    """
    if time_constant_s <= 0.0:
        return values
    from scipy.signal import lfilter

    keep = float(np.exp(-STEP_S / time_constant_s))
    out, _ = lfilter([1.0 - keep], [1.0, -keep], values, zi=[keep * values[0]])
    return np.asarray(out)
