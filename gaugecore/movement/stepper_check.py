"""The check of what only steppers have: a home, microsteps, a start-stop rate."""

from __future__ import annotations

from gaugecore.findings import Finding, Severity
from gaugecore.movement.mass import Mass
from gaugecore.movement.motion import Limits, microstep_torque_mnm, start_stop_steps_per_s
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.stepper import Stepper


def check_stepper(
    movement: Stepper, most_slope: float, mass: Mass, able: Limits, pointer: Pointer
) -> list[Finding]:
    """Return the findings of a stepper; places are relative to the instrument.

    Parameters
    ----------
    most_slope : float
        The pointer's turn by the movement's, where it is largest.
    mass, able
        Of the pointer; of movement, train and pointer.
    pointer : Pointer
    """
    ratio = max(most_slope, 1e-9)
    load_mnm = able.load_mnm * ratio
    return [
        *_check_home(movement),
        *_check_microsteps(movement, load_mnm, pointer.friction_mnm * ratio),
        *_check_ramp(movement, mass.inertia_gmm2 * ratio**2, load_mnm),
    ]


def _check_home(movement: Stepper) -> list[Finding]:
    if movement.has_stop:
        return []
    return [
        Finding(
            rule="no-home",
            severity=Severity.CAUTION,
            place="movement.has_stop",
            message="a stepper without a stop does not know where it stands at power-up",
            source="common practice, no source",
            remedy="a stop to drive gently into, or a home switch; or set the needle by hand each time",
        )
    ]


def _check_microsteps(movement: Stepper, load_mnm: float, friction_mnm: float) -> list[Finding]:
    adds_mnm = microstep_torque_mnm(movement)
    if movement.microsteps == 1 or adds_mnm >= load_mnm:
        return []
    return [
        Finding(
            rule="microsteps-swallowed",
            severity=Severity.CAUTION,
            place="movement.microsteps",
            message="one microstep adds less torque than unbalance and friction hold, so it is lost",
            measured=f"{adds_mnm:.3g} mN·m",
            wanted=(
                f"more than {load_mnm:.3g} mN·m (unbalance {load_mnm - friction_mnm:.3g}, "
                f"friction {friction_mnm:.3g})"
            ),
            source="T sin(90°/n), a technical note on microstepping",
            remedy=(
                f"{'less friction' if friction_mnm > load_mnm / 2.0 else 'balance the needle'}, or count on "
                f"fewer microsteps"
            ),
        )
    ]


def _check_ramp(movement: Stepper, load_inertia_gmm2: float, load_mnm: float) -> list[Finding]:
    rate = start_stop_steps_per_s(movement, load_inertia_gmm2, load_mnm)
    if rate >= movement.most_steps_per_s:
        return []
    return [
        Finding(
            rule="needs-a-ramp",
            severity=Severity.NOTE,
            place="movement.most_steps_per_s",
            message="above this rate the stepper must be ramped up and down or it loses steps",
            measured=f"{rate:.0f} steps/s",
            wanted=f"{movement.most_steps_per_s:.0f} steps/s, its top speed",
            source="start-stop form of makers' sizing notes, from memory",
            remedy="set the drive's acceleration limit; home slower than this",
        )
    ]
