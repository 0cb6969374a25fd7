"""The check of the load: whether the movement turns the needle and how soon, and what stands in the way."""

from __future__ import annotations

from gaugecore.findings import Finding, Severity
from gaugecore.movement.balance import counterweight
from gaugecore.movement.mass import Mass
from gaugecore.movement.motion import Limits
from gaugecore.movement.pointer import Pointer

PRACTICE = "common practice, no source"
#: Torque beyond the load that a design should have in hand.
WANTED_MARGIN = 2.0
#: From end to end in this time a needle still feels alive.
LIVELY_S = 2.0


def check_load(able: Limits, mass: Mass, pointer: Pointer) -> list[Finding]:
    """Return the finding of a torque that the load eats; places are relative to the instrument.

    Parameters
    ----------
    able : Limits
        Of movement, train and pointer.
    mass : Mass
        Of the pointer.
    """
    margin = able.margin
    if margin is None or margin >= WANTED_MARGIN:
        return []
    friction_mnm, unbalance_mnm = pointer.friction_mnm, able.load_mnm - pointer.friction_mnm
    rubs = friction_mnm > unbalance_mnm
    most = "friction" if rubs else "unbalance"
    return [
        Finding(
            rule="torque-margin",
            severity=Severity.FAULT if margin < 1.0 else Severity.CAUTION,
            place="pointer.friction_mnm" if rubs else "pointer",
            message=(
                f"the movement cannot turn the needle, mostly for its {most}"
                if margin < 1.0
                else f"the movement has little torque in hand over the needle's load, most of it {most}"
            ),
            measured=(
                f"{able.torque_mnm:.3g} mN·m for a load of {able.load_mnm:.3g} mN·m "
                f"(unbalance {unbalance_mnm:.3g}, friction {friction_mnm:.3g})"
            ),
            wanted=f"at least {WANTED_MARGIN:g} times the load",
            source="unbalance torque m·g·r; the margin is common practice",
            remedy=_lighter_load(able, mass, pointer, rubs=rubs),
        )
    ]


def _lighter_load(able: Limits, mass: Mass, pointer: Pointer, *, rubs: bool) -> str:
    """Return what helps: the largest share first, the other too where one alone is not enough."""
    friction_mnm, unbalance_mnm = pointer.friction_mnm, able.load_mnm - pointer.friction_mnm
    less_friction = f"less friction than {friction_mnm:.3g} mN·m: a freer bearing"
    ways = [less_friction, _balance(mass, pointer)]
    left_mnm = unbalance_mnm if rubs else friction_mnm
    if not rubs:
        ways.reverse()
    if left_mnm * WANTED_MARGIN <= able.torque_mnm:
        ways = ways[:1]
    needs_mnm = WANTED_MARGIN * able.load_mnm
    return f"{', and '.join(ways)}; or a movement or train with {needs_mnm:.3g} mN·m at the needle"


def _balance(mass: Mass, pointer: Pointer) -> str:
    weight_g, at_mm = counterweight(pointer, mass)
    if weight_g < 0.0:
        return f"{-weight_g:.3g} g less {at_mm:.0f} mm behind the pivot, where it is too heavy"
    return f"a counterweight of {weight_g:.3g} g {at_mm:.0f} mm behind the pivot, or a lighter needle"


def check_speed(able: Limits, arc_deg: float) -> list[Finding]:
    """Return the finding of a slow needle and what makes it slow.

    Parameters
    ----------
    able : Limits
        Of movement, train and pointer.
    arc_deg : float
        Span of the scale.
    """
    seconds = able.sweep_s(arc_deg)
    if seconds is None or seconds <= LIVELY_S:
        return []
    cause, remedy = _slow_for(able, arc_deg, seconds)
    return [
        Finding(
            rule="slow-needle",
            severity=Severity.NOTE,
            place="movement",
            message=f"the needle takes long from one end of the scale to the other, mostly for {cause}",
            measured=f"{seconds:.1f} s",
            wanted=f"about {LIVELY_S:g} s or less",
            source=PRACTICE,
            remedy=f"{remedy}; or live with it",
        )
    ]


def _slow_for(able: Limits, arc_deg: float, seconds: float) -> tuple[str, str]:
    if arc_deg / able.speed_deg_per_s >= seconds / 2.0:
        return (
            f"its top speed of {able.speed_deg_per_s:.0f}°/s",
            "a faster movement, or a train that turns the needle farther for the same turn",
        )
    if able.load_mnm > able.torque_mnm / 2.0:
        return (
            "unbalance and friction, which leave it little torque",
            "a lighter load, or a stronger movement",
        )
    if able.pointer_inertia_gmm2 > able.inertia_gmm2 / 2.0:
        return (
            f"the needle's inertia of {able.pointer_inertia_gmm2:.0f} g·mm²",
            "a shorter, narrower or thinner needle, and no weight far out",
        )
    return "the movement's own inertia", "another movement, or a train that turns the needle less far"
