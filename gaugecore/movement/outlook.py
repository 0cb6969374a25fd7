"""Everything there is to say about a movement before it is bought, as one value for a window or a page."""

from __future__ import annotations

from dataclasses import dataclass

from gaugecore.findings import Finding
from gaugecore.movement.balance import balancing_tail_mm
from gaugecore.movement.mass import Mass, mass_of
from gaugecore.movement.motion import Limits, limits, start_stop_steps_per_s
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.pointing import Pointing, pointing
from gaugecore.movement.propose import Proposal, propose
from gaugecore.movement.reach import Reach, reach
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.suitability import check_movement
from gaugecore.movement.train import CrankLink, Direct, GearPair


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What a movement makes of its needle.

    Attributes
    ----------
    arc_deg : float
        Span of the scale.
    reached : Reach
        What the train makes of the movement's travel.
    mass : Mass
        Of the pointer.
    balanced_tail_mm : float or None
        The tail that would balance it; None when none does.
    able : Limits
        Speed, acceleration, torque and load at the pointer.
    sweep_s : float or None
        End to end of the scale, rest to rest; None when it cannot move.
    start_stop_steps_per_s : float or None
        Largest rate without a ramp; None for a servo.
    budget : Pointing
        Causes of pointing error.
    proposals : tuple of Proposal
        Trains that would fit.
    findings : tuple of Finding
    """

    arc_deg: float
    reached: Reach
    mass: Mass
    balanced_tail_mm: float | None
    able: Limits
    sweep_s: float | None
    start_stop_steps_per_s: float | None
    budget: Pointing
    proposals: tuple[Proposal, ...]
    findings: tuple[Finding, ...]


def outlook(
    movement: Servo | Stepper,
    train: Direct | GearPair | CrankLink,
    pointer: Pointer,
    *,
    arc_deg: float,
    tilt_deg: float = 90.0,
) -> Outlook:
    """Return what a movement makes of its needle.

    Parameters
    ----------
    arc_deg : float
        Span of the scale, more than 0.
    tilt_deg : float
        Tilt of the panel from lying flat: 90 upright.

    Raises
    ------
    DesignError
        If the pointer cannot be drawn.
    """
    reached, mass = reach(train, movement.travel_deg), mass_of(pointer)
    able = limits(movement, train, pointer, mass, tilt_deg=tilt_deg)
    ratio = max(reached.most_slope, 1e-9)
    return Outlook(
        arc_deg=arc_deg,
        reached=reached,
        mass=mass,
        balanced_tail_mm=balancing_tail_mm(pointer),
        able=able,
        sweep_s=able.sweep_s(arc_deg),
        start_stop_steps_per_s=start_stop_steps_per_s(
            movement, mass.inertia_gmm2 * ratio**2, able.load_mnm * ratio
        )
        if isinstance(movement, Stepper)
        else None,
        budget=pointing(movement, train, arc_deg=arc_deg),
        proposals=propose(movement, arc_deg=arc_deg),
        findings=tuple(check_movement(movement, train, pointer, arc_deg=arc_deg, tilt_deg=tilt_deg)),
    )
