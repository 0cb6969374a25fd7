"""The check of a movement: whether it reaches, carries, keeps up and points, with this train and pointer."""

from __future__ import annotations

from gaugecore.errors import DesignError
from gaugecore.findings import Finding, Severity
from gaugecore.movement.link_check import check_link
from gaugecore.movement.load_check import PRACTICE, check_load, check_speed
from gaugecore.movement.mass import mass_of
from gaugecore.movement.motion import limits
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.pointing import Care, pointing
from gaugecore.movement.propose import propose
from gaugecore.movement.reach import Reach, reach
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.stepper_check import check_stepper
from gaugecore.movement.train import CrankLink, Direct, GearPair
from gaugecore.movement.undercut import check_teeth

#: A movement with this much more travel than the arc wastes pointing.
WASTE = 1.25
#: Another train is worth a word when it brings the expected error down to this share.
WORTH = 0.9

AnyTrain = Direct | GearPair | CrankLink


def check_movement(
    movement: Servo | Stepper,
    train: AnyTrain,
    pointer: Pointer,
    *,
    arc_deg: float,
    tilt_deg: float = 90.0,
) -> list[Finding]:
    """Return every finding of a movement with its train and pointer; places are relative to the instrument.

    Parameters
    ----------
    arc_deg : float
        Span of the scale, more than 0.
    tilt_deg : float
        Tilt of the panel from lying flat: 90 upright, the worst case for an unbalanced needle.
    """
    reached = reach(train, movement.travel_deg)
    try:
        mass = mass_of(pointer)
    except DesignError:
        # a pointer that cannot be drawn is a finding of the drawing, not of the movement
        mass = None
    able = limits(movement, train, pointer, mass, tilt_deg=tilt_deg, arc_deg=arc_deg) if mass else None
    found = [
        *_check_reach(movement, train, reached, arc_deg, load_mnm=able.load_mnm if able else 0.0),
        *(check_link(movement, train, arc_deg) if isinstance(train, CrankLink) else ()),
        *(check_teeth(train) if isinstance(train, GearPair) else ()),
        *_check_pointing(movement, train, arc_deg),
    ]
    if mass is not None and able is not None:
        found += check_load(able, mass, pointer)
        found += check_speed(able, arc_deg)
        if isinstance(movement, Stepper):
            found += check_stepper(movement, reached.most_slope, mass, able, pointer)
    return [*found, *_check_figures(movement)]


def _check_reach(
    movement: Servo | Stepper, train: AnyTrain, reached: Reach, arc_deg: float, *, load_mnm: float
) -> list[Finding]:
    proposals = propose(movement, arc_deg=arc_deg, load_mnm=load_mnm)
    says = "; or ".join(p.sentence() for p in proposals if p.train != train)
    # two figures from different hands may differ in the last digit
    if reached.span_deg < arc_deg * (1.0 - 1e-6):
        return [
            Finding(
                rule="arc-out-of-reach",
                severity=Severity.FAULT,
                place="movement.travel_deg" if isinstance(train, Direct) else "train",
                message="the movement does not carry the needle over the whole scale",
                measured=f"{reached.span_deg:.1f}°",
                wanted=f"{arc_deg:.1f}°",
                source="arithmetic",
                remedy=says or _no_train(movement, arc_deg),
            )
        ]
    now_deg = pointing(movement, train, arc_deg=arc_deg).expected_deg(Care.PER_DIRECTION)
    finer = [p for p in proposals if p.train != train and p.expected_deg < WORTH * now_deg]
    if reached.span_deg > WASTE * arc_deg and finer:
        return [
            Finding(
                rule="travel-unused",
                severity=Severity.NOTE,
                place="train",
                message="much of the movement's travel is not used, and pointing is coarser for it",
                measured=f"{reached.span_deg:.0f}° of travel at the needle",
                wanted=f"about {arc_deg:.0f}°",
                source=PRACTICE,
                remedy=finer[0].sentence(),
            )
        ]
    return []


def _no_train(movement: Servo | Stepper, arc_deg: float) -> str:
    weak = propose(movement, arc_deg=arc_deg)
    if weak:
        return f"a stronger movement, or less load: {weak[0].words} would reach, but not turn the needle"
    return f"a movement with at least {arc_deg:.0f}° of travel, or a shorter scale"


def _check_pointing(movement: Servo | Stepper, train: AnyTrain, arc_deg: float) -> list[Finding]:
    budget = pointing(movement, train, arc_deg=arc_deg)
    expected_deg = budget.expected_deg(Care.PER_DIRECTION)
    reachable = budget.accuracy_class(Care.PER_DIRECTION)
    biggest = max((c for c in budget.causes if c.counts(Care.PER_DIRECTION)), key=lambda c: c.half_width_deg)
    return [
        Finding(
            rule="expected-pointing",
            severity=Severity.NOTE if reachable is not None else Severity.CAUTION,
            place="movement",
            message=(
                f"calibrated in both directions the needle is expected within {expected_deg:.1f}°, class "
                f"{reachable:g} of EN 837-1"
                if reachable is not None
                else f"even calibrated in both directions the needle is expected only within "
                f"{expected_deg:.1f}°, worse than the coarsest class of EN 837-1"
            ),
            measured=f"{expected_deg / arc_deg * 100.0:.1f} % of span",
            wanted="at most 4 % of span",
            source="EN 837-1:1996 table 11",
            remedy=f"the largest cause is: {biggest.name} ({biggest.half_width_deg:.2f}°)",
        )
    ]


def _check_figures(movement: Servo | Stepper) -> list[Finding]:
    if movement.measured:
        return []
    return [
        Finding(
            rule="typical-figures",
            severity=Severity.NOTE,
            place="movement",
            message=f"the figures of {movement.name!r} are typical, not measured",
            source=movement.source,
            remedy="measure yours: travel, slack, currents; then set measured to true",
        )
    ]
