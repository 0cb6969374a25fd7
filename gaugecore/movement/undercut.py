"""Whether gear teeth can be made and mesh: undercut and contact ratio."""

from __future__ import annotations

from math import ceil, cos, pi, radians, sin, sqrt

from gaugecore.findings import Finding, Severity
from gaugecore.movement.train import GearPair

_TEXTBOOK = "involute gear geometry (textbook, from memory)"


def fewest_teeth(pressure_angle_deg: float) -> int:
    """Return the fewest teeth that a rack cutter does not undercut: 2 / sin².

    Examples
    --------
    >>> fewest_teeth(20.0), fewest_teeth(14.5), fewest_teeth(25.0)
    (18, 32, 12)
    """
    return ceil(2.0 / sin(radians(pressure_angle_deg)) ** 2 - 1e-9)


def contact_ratio(teeth_a: int, teeth_b: int, pressure_angle_deg: float = 20.0) -> float:
    """Return the mean number of tooth pairs in mesh, with addenda of one module.

    Examples
    --------
    >>> round(contact_ratio(20, 40), 2)
    1.64
    """
    angle = radians(pressure_angle_deg)
    path = -(teeth_a + teeth_b) / 2.0 * sin(angle)
    for teeth in (teeth_a, teeth_b):
        outer, base = teeth / 2.0 + 1.0, teeth / 2.0 * cos(angle)
        # the line of contact cannot pass the point where it touches the other base circle
        path += min(sqrt(outer**2 - base**2), (teeth_a + teeth_b) / 2.0 * sin(angle))
    return path / (pi * cos(angle))


def check_teeth(train: GearPair) -> list[Finding]:
    """Return the findings of a gear pair's teeth; none while they are not chosen."""
    if train.movement_teeth is None or train.pointer_teeth is None:
        return []
    fewest = fewest_teeth(train.pressure_angle_deg)
    found = [
        Finding(
            rule="gear-undercut",
            severity=Severity.CAUTION,
            place=f"train.{key}",
            message="a gear with so few teeth is undercut at the root: weak, and not smooth",
            measured=f"{teeth} teeth",
            wanted=f"at least {fewest} at {train.pressure_angle_deg:g}°",
            source=_TEXTBOOK,
            remedy=_more_teeth(train, fewest),
        )
        for key, teeth in (("movement_teeth", train.movement_teeth), ("pointer_teeth", train.pointer_teeth))
        if teeth < fewest
    ]
    mesh = contact_ratio(train.movement_teeth, train.pointer_teeth, train.pressure_angle_deg)
    if mesh < 1.2:
        found.append(
            Finding(
                rule="gear-contact-ratio",
                severity=Severity.CAUTION,
                place="train",
                message="one pair of teeth barely hands over to the next, and the needle will jump",
                measured=f"{mesh:.2f}",
                wanted="at least 1.2",
                source=_TEXTBOOK,
                remedy="more teeth",
            )
        )
    return found


def _more_teeth(train: GearPair, fewest: int) -> str:
    small = min(train.movement_teeth or 1, train.pointer_teeth or 1)
    times = ceil(fewest / small)
    driver, driven = (train.movement_teeth or 0) * times, (train.pointer_teeth or 0) * times
    steeper = small >= fewest_teeth(25.0) and train.pressure_angle_deg < 25.0
    return f"{driver} and {driven} teeth make the same ratio" + "; or a pressure angle of 25°" * steeper
