"""Rules of reading for the scale: steps, arc, direction, zero, and what the needle can honour."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Final

import numpy as np

from gaugecore.face.face import Face
from gaugecore.face.graduations import graduations_of, numerals_of, numerals_on
from gaugecore.face.scale import (
    CircularScale,
    MultiTurnScale,
    angle_range_deg,
    angles_deg,
    drawn_range,
    is_even,
    value_range,
)
from gaugecore.face.scale_rings import Ring, exact, rings_of
from gaugecore.face.steps import steps_of
from gaugecore.findings import Finding, Severity

_HANDBOOK: Final = "MIL-HDBK-759B notice (1993), 5.2.2.3.1.4.1"
_ARITHMETIC: Final = "arithmetic"
_WHOLE_TURN_DEG: Final = 360.0
#: Below half its widest, a spacing is plainly uneven.
_UNEVEN: Final = 0.5
_SAMPLES: Final = 201
_DUST_DEG: Final = 1e-6


def check_scale(face: Face, *, error_deg: float | None = None) -> list[Finding]:
    """Return what the rules have to say about a face's scale.

    Parameters
    ----------
    face : Face
        The design.
    error_deg : float or None
        The worst error of the calibrated needle, once known.
    """
    return [
        *(finding for ring in rings_of(face) for finding in _steps(ring, face)),
        *(finding for ring in rings_of(face) for finding in _steps_that_divide(ring)),
        *_ends(face),
        *_evenness(face),
        *_break(face),
        *_direction_and_zero(face),
        *_accuracy(face, error_deg),
    ]


def _steps(ring: Ring, face: Face) -> list[Finding]:
    steps = steps_of(ring)
    named = (
        ("major_step", steps.major),
        ("intermediate_step", steps.intermediate),
        ("minor_step", steps.minor),
    )
    if isinstance(face.scale, CircularScale):
        return []  # a circle is divided as circles are: by 30, 45 or 90
    worded = _worded_values(ring)
    if worded and all(numeral.value in worded for numeral in numerals_on(ring, face)):
        return []  # a dial that shows words, such as E ½ F, has no units to count in
    return [
        Finding(
            rule="steps-1-2-5",
            severity=Severity.CAUTION,
            place=f"face.{ring.where('graduations')}.{name}",
            message=f"A step of {step:g} is hard to count in.",
            measured=f"{step:g}",
            wanted="1, 2 or 5, or one of them times or by a power of ten",
            source=_HANDBOOK + "; EN 837-1:1996",
            remedy="Choose such a step.",
        )
        for name, step in named
        if step is not None and Decimal(repr(step)).normalize().as_tuple().digits not in ((1,), (2,), (5,))
    ]


def _steps_that_divide(ring: Ring) -> list[Finding]:
    """Return a finding for each step that does not go evenly into the greater one, or into a turn."""
    steps = steps_of(ring)
    named = [("major", steps.major), ("intermediate", steps.intermediate), ("minor", steps.minor)]
    used = [(name, exact(step)) for name, step in named if step is not None]
    found = [
        Finding(
            rule="steps-uneven",
            severity=Severity.CAUTION,
            place=f"face.{ring.where('graduations')}.{name}_step",
            message=f"The {name} step does not go evenly into the {greater_name} one.",
            measured=f"{float(greater / step):.4g} times",
            wanted="a whole number of times",
            source="common practice, no source",
            remedy="Choose steps that divide each other.",
        )
        for (greater_name, greater), (name, step) in pairwise(used)
        if greater % step != 0
    ]
    turn = _turn(ring)
    if turn is None:
        return found
    return found + [
        Finding(
            rule="steps-around",
            severity=Severity.FAULT if isinstance(ring.scale, MultiTurnScale) else Severity.CAUTION,
            place=f"face.{ring.where('graduations')}.{name}_step",
            message=f"The {name} step does not go evenly into a turn, so its graduations do not meet.",
            measured=f"{float(turn / step):.4g} steps to a turn of {float(turn):g}",
            wanted="a whole number of steps",
            source=_ARITHMETIC,
            remedy="Choose a step that divides a turn.",
        )
        for name, step in used
        if turn % step != 0
    ]


def _turn(ring: Ring) -> Fraction | None:
    """Return what a turn is worth on a ring that is read all round, None on any other."""
    if isinstance(ring.scale, CircularScale):
        low, high = ring.bounds
        return high - low
    if isinstance(ring.scale, MultiTurnScale):
        return exact(ring.scale.value_per_turn) * abs(ring.factor)
    return None


def _worded_values(ring: Ring) -> set[float]:
    return set() if ring.numerals is None else {value for value, text in ring.numerals.texts if text}


def _ends(face: Face) -> list[Finding]:
    marked = {mark.value for mark in graduations_of(face)}
    low_deg, high_deg = angle_range_deg(face.scale)
    if high_deg - low_deg >= _WHOLE_TURN_DEG - _DUST_DEG:
        return []
    return [
        Finding(
            rule="scale-end-without-graduation",
            severity=Severity.NOTE,
            place="face.graduations",
            message=f"The scale ends at {value:g}, where there is no graduation.",
            measured="none",
            wanted=f"a graduation at {value:g}",
            source="common practice, no source",
            remedy="End the scale on a multiple of a step, or choose a step that divides it.",
        )
        for value in drawn_range(face.scale)
        if marked and value not in marked
    ]


def _evenness(face: Face) -> list[Finding]:
    if is_even(face.scale):
        return []
    angles = angles_deg(face.scale, np.linspace(*value_range(face.scale), _SAMPLES))
    slopes = np.abs(np.diff(angles))
    if slopes.min() >= _UNEVEN * slopes.max():
        return []
    return [
        Finding(
            rule="scale-uneven",
            severity=Severity.NOTE,
            place="face.scale",
            message="The scale is so uneven that a part of it is compressed.",
            measured=f"narrowest to widest {slopes.min() / slopes.max():.2g} : 1",
            wanted="even graduation, unless the use asks for it",
            source="MIL-HDBK-759B notice (1993), 5.2.2.3.1.3",
            remedy="Keep it if one part of the range matters most; else use a linear scale.",
        )
    ]


def _break(face: Face) -> list[Finding]:
    low_deg, high_deg = angle_range_deg(face.scale)
    break_deg = _WHOLE_TURN_DEG - (high_deg - low_deg)
    numerals = numerals_of(face)
    if len(numerals) < 2 or not _DUST_DEG < break_deg < _WHOLE_TURN_DEG / 2.0:
        return []
    interval_deg = max(
        abs(numerals[1].dial_deg - numerals[0].dial_deg), abs(numerals[-1].dial_deg - numerals[-2].dial_deg)
    )
    if break_deg >= interval_deg - _DUST_DEG:
        return []
    return [
        Finding(
            rule="scale-break",
            severity=Severity.CAUTION,
            place="face.scale",
            message="The ends of the scale come so near each other that they can be taken for one another.",
            measured=f"{break_deg:.4g}°",
            wanted=f"at least one numbered interval, {interval_deg:.4g}°",
            source="NUREG-0700 r2 1.6.4-11",
            remedy="Use a shorter arc; the break belongs at six o'clock.",
        )
    ]


def _direction_and_zero(face: Face) -> list[Finding]:
    found = []
    points = face.scale.points
    low, high = value_range(face.scale)
    if points[-1][1] < points[0][1]:
        found.append(
            Finding(
                rule="counter-clockwise",
                severity=Severity.NOTE,
                place="face.scale",
                message="Values rise counter-clockwise, against the habit of readers.",
                measured="counter-clockwise",
                wanted="clockwise",
                source="MIL-STD-1472E 5.1.3.3",
                remedy="Keep it only if the thing shown moves that way.",
            )
        )
    if low == -high:
        middle_deg = (points[0][1] + points[-1][1]) / 2.0 % _WHOLE_TURN_DEG
        if min(abs(middle_deg - deg) for deg in (0.0, 270.0, _WHOLE_TURN_DEG)) > 1.0:
            found.append(
                Finding(
                    rule="zero-place",
                    severity=Severity.NOTE,
                    place="face.scale",
                    message="On a scale that reads to both sides, zero is looked for at twelve or nine.",
                    measured=f"{middle_deg:.4g}°",
                    wanted="0° or 270°",
                    source="NUREG-0700 r2 1.2.11-2",
                    remedy="Turn the scale.",
                )
            )
    return found


def _accuracy(face: Face, error_deg: float | None) -> list[Finding]:
    marks = graduations_of(face)
    if error_deg is None or len(marks) < 2:
        return []
    steps = sorted(abs(other.dial_deg - one.dial_deg) for one, other in pairwise(marks))
    smallest_deg = steps[0]
    if error_deg <= smallest_deg:
        return []
    return [
        Finding(
            rule="finer-than-the-needle",
            severity=Severity.CAUTION,
            place="face.graduations",
            message="The graduations promise more than the calibrated needle can show.",
            measured=f"smallest step {smallest_deg:.3g}°, needle error {error_deg:.3g}°",
            wanted=f"a step of at least {error_deg:.3g}°; at most twice the error is enough",
            source="ASME B40.100-2005 extract: smallest increment at most twice the permitted error",
            remedy="Leave out the finest graduations, or improve the movement.",
        )
    ]
