"""How fast and how well the needle moves: limits at the pointer, torque margin, start-stop rate.

Everything is brought to the pointer's shaft: a train that turns the pointer ``r`` times as far divides torque
by r and multiplies speed by r, and the movement's own inertia is felt divided by r².
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, sin, sqrt

import numpy as np

from gaugecore.movement.mass import Mass
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.reach import reach, used_travel_deg
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.train import CrankLink, Direct, GearPair

#: Of the stall torque, what is counted on while moving: half (common practice for direct-current motors,
#: whose torque falls in a straight line to zero at full speed).
USABLE_SHARE = 0.5

#: Share of a stepper's holding torque that is left at its top speed, while its curve is not known: a guess.
LEFT_AT_TOP_SPEED = 1.0 / 3.0

#: mN·m that one g·mm² needs for one radian per second squared: 1e-9 kg·m² is 1e-6 mN·m.
MNM_PER_GMM2 = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What movement and train can do at the pointer.

    Attributes
    ----------
    speed_deg_per_s : float
    acceleration_deg_per_s2 : float
        With unbalance and friction against it; 0 when they eat all the torque.
    torque_mnm : float
        Usable torque.
    load_mnm : float
        Unbalance at its worst and friction.
    inertia_gmm2 : float
        Pointer and movement together, felt at the pointer.
    pointer_inertia_gmm2 : float
        The pointer's share of it.
    """

    speed_deg_per_s: float
    acceleration_deg_per_s2: float
    torque_mnm: float
    load_mnm: float
    inertia_gmm2: float
    pointer_inertia_gmm2: float

    @property
    def margin(self) -> float | None:
        """Return usable torque by load; None without load."""
        return self.torque_mnm / self.load_mnm if self.load_mnm > 0.0 else None

    def sweep_s(self, arc_deg: float) -> float | None:
        """Return the time from rest to rest over an arc; None when it cannot move.

        Examples
        --------
        >>> limits = Limits(speed_deg_per_s=100.0, acceleration_deg_per_s2=1000.0, torque_mnm=1.0,
        ...                 load_mnm=0.0, inertia_gmm2=1.0, pointer_inertia_gmm2=1.0)
        >>> limits.sweep_s(90.0), round(limits.sweep_s(2.5), 3)
        (1.0, 0.1)
        """
        speed, acceleration = self.speed_deg_per_s, self.acceleration_deg_per_s2
        if acceleration <= 0.0:
            return None
        if arc_deg <= speed**2 / acceleration:
            return 2.0 * sqrt(arc_deg / acceleration)
        return arc_deg / speed + speed / acceleration


def own_inertia_gmm2(movement: Servo | Stepper) -> float:
    """Return the movement's inertia as felt at its shaft.

    For a servo it follows from the run-up: a motor whose torque falls in a straight line gains speed with
    the time constant J·ω₀/T (textbook, from memory).
    """
    if isinstance(movement, Stepper):
        return movement.inertia_gmm2
    return movement.torque_mnm * movement.run_up_s / radians(movement.most_deg_per_s) / MNM_PER_GMM2


def limits(
    movement: Servo | Stepper,
    train: Direct | GearPair | CrankLink,
    pointer: Pointer,
    mass: Mass,
    *,
    tilt_deg: float = 90.0,
    arc_deg: float | None = None,
) -> Limits:
    """Return what movement and train can do at the pointer.

    The torque is that where the train is at its worst; speed and inertia are those of the whole way, on
    average, which for all but a link is the same.

    Parameters
    ----------
    arc_deg : float or None
        Span of the scale, whose part of the travel is looked at; None: all of the travel. Near the end of its
        travel a crank may move nothing at all, and nobody asks it to.
    tilt_deg : float
        Tilt of the panel from lying flat; an upright panel has the worst unbalance.
    """
    travel_deg = movement.travel_deg
    if arc_deg:
        travel_deg = used_travel_deg(train, travel_deg, arc_deg) or travel_deg
    reached = reach(train, travel_deg)
    most, mean = max(reached.most_slope, 1e-9), max(reached.span_deg / travel_deg, 1e-9)
    torque_mnm = usable_torque_mnm(movement) / most
    load_mnm = mass.worst_unbalance_torque_mnm(tilt_deg) + pointer.friction_mnm
    inertia_gmm2 = mass.inertia_gmm2 + own_inertia_gmm2(movement) / mean**2
    free_mnm = max(0.0, torque_mnm - load_mnm)
    return Limits(
        speed_deg_per_s=movement.most_deg_per_s * mean,
        acceleration_deg_per_s2=float(np.degrees(free_mnm / (inertia_gmm2 * MNM_PER_GMM2))),
        torque_mnm=torque_mnm,
        load_mnm=load_mnm,
        inertia_gmm2=inertia_gmm2,
        pointer_inertia_gmm2=mass.inertia_gmm2,
    )


def usable_torque_mnm(movement: Servo | Stepper) -> float:
    """Return the torque at the movement's shaft that a design may count on while it moves."""
    if isinstance(movement, Servo):
        return movement.torque_mnm * USABLE_SHARE
    return torque_at_mnm(movement, movement.most_steps_per_s)


def torque_at_mnm(movement: Stepper, steps_per_s: float) -> float:
    """Return a stepper's pull-out torque at a speed in full steps a second.

    Examples
    --------
    >>> round(torque_at_mnm(Stepper(torque_mnm=1.2, most_steps_per_s=600.0), 300.0), 3)
    0.8
    """
    end_mnm = movement.torque_mnm * LEFT_AT_TOP_SPEED
    curve = movement.torque_curve or ((0.0, movement.torque_mnm), (movement.most_steps_per_s, end_mnm))
    rates, torques = zip(*curve, strict=True)
    return float(np.interp(steps_per_s, rates, torques, right=0.0))


def microstep_torque_mnm(movement: Stepper) -> float:
    """Return the torque that one microstep adds: T sin(90°/n).

    Source: a technical note on microstepping. Friction above it swallows single microsteps.

    Examples
    --------
    >>> round(microstep_torque_mnm(Stepper(torque_mnm=100.0, microsteps=16)), 2)
    9.8
    """
    return movement.torque_mnm * sin(radians(90.0 / movement.microsteps))


def start_stop_steps_per_s(movement: Stepper, load_inertia_gmm2: float, load_mnm: float) -> float:
    """Return the largest rate at which it starts and stops without a ramp and loses no step.

    Parameters
    ----------
    load_inertia_gmm2, load_mnm : float
        What the train and pointer put on the movement's shaft.

    Notes
    -----
    A two-phase rotor may lag two steps before it is lost, so it has two step periods to come up to speed:
    T - T_load = J·θ·f²/2 (the start-stop form of makers' sizing notes, from memory). The torque is that
    of the curve at the rate itself, so the equation is solved by bracketing.
    """
    from scipy.optimize import brentq

    inertia = (movement.inertia_gmm2 + load_inertia_gmm2) * MNM_PER_GMM2 * radians(movement.deg_per_step)

    def spare_mnm(rate: float) -> float:
        return torque_at_mnm(movement, rate) - load_mnm - inertia * rate**2 / 2.0

    if spare_mnm(0.0) <= 0.0:
        return 0.0
    top = movement.most_steps_per_s
    return top if spare_mnm(top) >= 0.0 else float(brentq(spare_mnm, 0.0, top))
