"""The check of a crank and link: whether it jams, turns back, or stands at a bad angle."""

from __future__ import annotations

from gaugecore.findings import Finding, Severity
from gaugecore.movement.propose import LEAST_TRANSMISSION_DEG, worst_transmission_deg
from gaugecore.movement.reach import reach, used_travel_deg
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.train import CrankLink

_POSITION_ANALYSIS = "position analysis of the four-bar"
#: As near to the line of shafts as arithmetic tells.
_FLAT_DEG = 0.01
#: This far from a change point play does not carry a link over it (common practice, no source).
_SHY_DEG = 10.0


def check_link(movement: Servo | Stepper, train: CrankLink, arc_deg: float) -> list[Finding]:
    """Return the findings of a crank and link; places are relative to the instrument."""
    return [*_check_course(movement, train), *_check_angle(movement, train, arc_deg)]


def _check_course(movement: Servo | Stepper, train: CrankLink) -> list[Finding]:
    low_deg = train.crank_deg - movement.travel_deg / 2.0
    high_deg = train.crank_deg + movement.travel_deg / 2.0
    turns = f"the crank turns {low_deg:.0f}° to {high_deg:.0f}°"
    toggles = train.linkage.crank_limits_deg(train.crank_deg)
    if toggles and not toggles[0] < low_deg < high_deg < toggles[1]:
        if any(_is_flat(toggle) for toggle in toggles):
            return [_change_point(turns, toggles)]
        return [
            Finding(
                rule="link-jams",
                severity=Severity.FAULT,
                place="train",
                message="within the movement's travel link and arm come into one line and the train jams",
                measured=turns,
                wanted=f"inside {toggles[0]:.1f}° to {toggles[1]:.1f}°, its toggle limits",
                source=_POSITION_ANALYSIS,
                remedy="a shorter crank, a longer arm, or pulse limits that keep the crank inside",
            )
        ]
    if reach(train, movement.travel_deg).whole:
        return []
    return [
        Finding(
            rule="link-turns-back",
            severity=Severity.CAUTION,
            place="train",
            message="near an end of the travel crank and link lie in one line and the needle turns back",
            measured=turns,
            wanted="the needle turns one way over all the travel",
            source=_POSITION_ANALYSIS,
            remedy="keep the commands inside, or mount the crank at another angle",
        )
    ]


def _is_flat(crank_deg: float) -> bool:
    """Return whether a crank lies in the line of shafts."""
    return abs(crank_deg - 180.0 * round(crank_deg / 180.0)) < _FLAT_DEG


def _change_point(turns: str, toggles: tuple[float, float]) -> Finding:
    low_deg, high_deg = (round(toggle) + 0.0 for toggle in toggles)
    return Finding(
        rule="link-jams",
        severity=Severity.FAULT,
        place="train",
        message=(
            "within the movement's travel crank, link and arm fall into one line with the shafts, a change "
            "point: from there the needle may turn either way"
        ),
        measured=turns,
        wanted=f"{low_deg + _SHY_DEG:g}° to {high_deg - _SHY_DEG:g}°, {_SHY_DEG:g}° short of that line",
        source=_POSITION_ANALYSIS,
        remedy="pulse limits or a travel that keep the crank inside, or a crank clearly shorter than the arm",
    )


def _check_angle(movement: Servo | Stepper, train: CrankLink, arc_deg: float) -> list[Finding]:
    used_deg = used_travel_deg(train, movement.travel_deg, arc_deg)
    worst_deg = worst_transmission_deg(train.linkage, train.crank_deg, used_deg)
    if worst_deg >= LEAST_TRANSMISSION_DEG:
        return []
    return [
        Finding(
            rule="link-at-a-bad-angle",
            severity=Severity.CAUTION,
            place="train",
            message="link and arm come close to one line, where play grows and force is lost",
            measured=f"{worst_deg:.0f}° from a straight line",
            wanted=f"at least {LEAST_TRANSMISSION_DEG:.0f}°",
            source="textbook rule of thumb, from memory",
            remedy="a longer arm on the pointer, or a shorter crank",
        )
    ]
