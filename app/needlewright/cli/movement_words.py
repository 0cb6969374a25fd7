"""What the verb `movement` has to say of one instrument: as lines for people and as JSON values."""

from __future__ import annotations

from typing import Any

from gaugecore.movement.outlook import Outlook
from gaugecore.movement.pointing import Care
from gaugecore.movement.propose import train_words
from gaugecore.movement.replay import Replay
from gaugecore.movement.stepper import Stepper
from gaugecore.panel.document import Instrument


def movement_json(instrument: Instrument, look: Outlook, response: Replay | None) -> dict[str, Any]:
    """Return everything computed of an instrument's movement as JSON values."""
    return {
        "instrument": instrument.id,
        "movement": instrument.movement.name,
        "train": instrument.train.model_dump(mode="json"),
        "arc_deg": look.arc_deg,
        "reach_deg": look.reached.span_deg,
        "resolution_deg": look.budget.resolution_deg,
        "pointer": {
            "mass_g": look.mass.mass_g,
            "centre_mm": look.mass.centre_mm,
            "inertia_gmm2": look.mass.inertia_gmm2,
            "unbalance_gmm": look.mass.unbalance_gmm,
            "balanced_tail_mm": look.balanced_tail_mm,
            "counterweight_g": look.counterweight_g,
            "counterweight_at_mm": look.counterweight_at_mm,
        },
        "torque_mnm": look.able.torque_mnm,
        "load_mnm": look.able.load_mnm,
        "unbalance_mnm": look.unbalance_mnm,
        "friction_mnm": look.friction_mnm,
        "margin": look.able.margin,
        "speed_deg_per_s": look.able.speed_deg_per_s,
        "acceleration_deg_per_s2": look.able.acceleration_deg_per_s2,
        "sweep_s": look.sweep_s,
        "start_stop_steps_per_s": look.start_stop_steps_per_s,
        "microstep_torque_mnm": look.microstep_torque_mnm,
        "expected_error_deg": {care.value: look.budget.expected_deg(care) for care in Care},
        "accuracy_class": {care.value: look.budget.accuracy_class(care) for care in Care},
        "causes": [
            {"name": cause.name, "half_width_deg": cause.half_width_deg} for cause in look.budget.causes
        ],
        "trains": [
            {
                "words": proposal.words,
                "reach_deg": proposal.reach_deg,
                "resolution_deg": proposal.resolution_deg,
                "slack_deg": proposal.slack_deg,
                "expected_error_deg": proposal.expected_deg,
                "train": proposal.train.model_dump(mode="json"),
            }
            for proposal in look.proposals
        ],
        "response": None if response is None else _response_json(response),
    }


def _response_json(response: Replay) -> dict[str, Any]:
    return {
        "lag_s": response.lag_s,
        "overshoot_deg": response.overshoot_deg,
        "worst_error_deg": response.worst_error_deg,
        "worst_at_s": response.worst_at_s,
        "rms_error_deg": response.rms_error_deg,
        "settled_error_deg": response.settled_error_deg,
    }


def movement_lines(instrument: Instrument, look: Outlook, response: Replay | None) -> list[str]:
    """Return what to expect of an instrument's movement, for people."""
    sweep = "cannot move" if look.sweep_s is None else f"end to end in {look.sweep_s:.2f} s"
    lines = [
        f"{instrument.id}: {instrument.movement.name}, train: {train_words(instrument.train)}",
        f"  reach       {look.reached.span_deg:.1f}° for a scale of {look.arc_deg:.1f}°",
        f"  pointer     {look.mass.mass_g:.2f} g, inertia {look.mass.inertia_gmm2:.0f} g·mm², unbalance "
        f"{look.mass.unbalance_gmm:.2f} g·mm; {look.balance_words}",
        f"  torque      {look.torque_words}",
        f"  speed       {look.able.speed_deg_per_s:.0f}°/s, {sweep}",
        *_stepper_lines(instrument, look),
    ]
    for care in Care:
        allowed = look.budget.accuracy_class(care)
        words = "worse than class 4" if allowed is None else f"class {allowed:g}"
        lines.append(
            f"  pointing    {look.budget.expected_deg(care):.2f}° ({words}), calibration: {care.value}"
        )
    causes = sorted(look.budget.causes, key=lambda cause: cause.half_width_deg, reverse=True)
    lines.append(
        "  causes      " + ", ".join(f"{cause.name} {cause.half_width_deg:.2f}°" for cause in causes[:4])
    )
    for proposal in look.proposals:
        round_words = "; the needle turns against the movement" if proposal.turns_round else ""
        lines.append(f"  would fit   {proposal.sentence()}{round_words}")
    if not look.proposals:
        lines.append("  would fit   none: no train with this movement both reaches and turns the needle")
    if response is not None:
        lag = "not told" if response.lag_s is None else f"{response.lag_s * 1000.0:.0f} ms"
        settled = "" if response.settled_error_deg is None else f", at rest {response.settled_error_deg:.2f}°"
        lines.append(
            f"  response    lag {lag}, overshoot {response.overshoot_deg:.2f}°, worst error "
            f"{response.worst_error_deg:.1f}°{settled}"
        )
    return lines


def _stepper_lines(instrument: Instrument, look: Outlook) -> list[str]:
    movement = instrument.movement
    if not isinstance(movement, Stepper) or look.microstep_torque_mnm is None:
        return []
    friction = f"{look.friction_mnm:.3g} mN·m" if look.friction_mnm else "not given"
    adds = f"T·sin(90°/{movement.microsteps}) = {look.microstep_torque_mnm:.3g} mN·m at the needle"
    return [
        f"  start-stop  {look.start_stop_steps_per_s or 0.0:.0f} steps/s without a ramp",
        f"  microstep   {adds}; against it friction {friction}, unbalance {look.unbalance_mnm:.3g} mN·m",
    ]
