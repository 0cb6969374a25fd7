"""Everything there is to say about a movement before it is bought, as one value for a window or a page."""

from __future__ import annotations

from dataclasses import dataclass

from gaugecore.findings import Finding
from gaugecore.movement.balance import balancing_tail_mm, counterweight
from gaugecore.movement.mass import Mass, mass_of
from gaugecore.movement.motion import Limits, limits, microstep_torque_mnm, start_stop_steps_per_s
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.pointing import Pointing, pointing
from gaugecore.movement.propose import Proposal, propose
from gaugecore.movement.reach import Reach, reach
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.suitability import check_movement
from gaugecore.movement.train import CrankLink, Direct, GearPair

#: A weight that no workshop scale shows.
_IN_BALANCE_G = 0.0005


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
    counterweight_g, counterweight_at_mm : float
        The weight that would balance it and where behind the pivot; negative: it is too heavy there already.
    able : Limits
        Speed, acceleration, torque and load at the pointer.
    friction_mnm, unbalance_mnm : float
        The two shares of the load; a friction of 0 has not been given.
    microstep_torque_mnm : float or None
        What one microstep adds at the needle, T sin(90°/n); None for a servo.
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
    counterweight_g: float
    counterweight_at_mm: float
    able: Limits
    friction_mnm: float
    unbalance_mnm: float
    microstep_torque_mnm: float | None
    sweep_s: float | None
    start_stop_steps_per_s: float | None
    budget: Pointing
    proposals: tuple[Proposal, ...]
    findings: tuple[Finding, ...]

    @property
    def torque_words(self) -> str:
        """Return the torque at the needle beside its load, for people."""
        words = f"{_plain(self.able.torque_mnm)} mN·m at the needle"
        if self.able.margin is not None:
            words += f", {_times(self.able.margin)} the load"
        if self.friction_mnm == 0.0:
            words += "; friction is not given and not in it"
        return words

    @property
    def balance_words(self) -> str:
        """Return what would balance the pointer, for people."""
        if abs(self.counterweight_g) < _IN_BALANCE_G:
            return "in balance"
        at = f"{self.counterweight_at_mm:.1f} mm behind the pivot"
        tail = "" if self.balanced_tail_mm is None else f", or a tail of {self.balanced_tail_mm:.1f} mm"
        if self.counterweight_g < 0.0:
            return f"balanced by {-self.counterweight_g:.3g} g less {at}{tail}"
        return f"balanced by {self.counterweight_g:.3g} g {at}{tail}"


def _times(margin: float) -> str:
    return "more than 1000 times" if margin > 1000.0 else f"{_plain(margin)} times"


def _plain(figure: float) -> str:
    """Return three significant digits, without an exponent while there is room."""
    return f"{float(f'{figure:.3g}'):g}"


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
    able = limits(movement, train, pointer, mass, tilt_deg=tilt_deg, arc_deg=arc_deg)
    ratio = max(reached.most_slope, 1e-9)
    stepper = movement if isinstance(movement, Stepper) else None
    weight_g, at_mm = counterweight(pointer, mass)
    return Outlook(
        arc_deg=arc_deg,
        reached=reached,
        mass=mass,
        balanced_tail_mm=balancing_tail_mm(pointer),
        counterweight_g=weight_g,
        counterweight_at_mm=at_mm,
        able=able,
        friction_mnm=pointer.friction_mnm,
        unbalance_mnm=able.load_mnm - pointer.friction_mnm,
        microstep_torque_mnm=microstep_torque_mnm(stepper) / ratio if stepper else None,
        sweep_s=able.sweep_s(arc_deg),
        start_stop_steps_per_s=start_stop_steps_per_s(
            stepper, mass.inertia_gmm2 * ratio**2, able.load_mnm * ratio
        )
        if stepper
        else None,
        budget=pointing(movement, train, arc_deg=arc_deg),
        proposals=propose(movement, arc_deg=arc_deg, load_mnm=able.load_mnm),
        findings=tuple(check_movement(movement, train, pointer, arc_deg=arc_deg, tilt_deg=tilt_deg)),
    )
