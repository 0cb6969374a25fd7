"""The second, slower pointer of a multi-turn dial: whether it belongs there, and clears the first."""

from __future__ import annotations

from typing import Final

from gaugecore.errors import DesignError
from gaugecore.face.scale_kinds import MultiTurnScale
from gaugecore.findings import Finding, Severity
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.pointer_plate import pointer_loop
from gaugecore.panel.document import Instrument

#: Two needles on one arbor are told apart by length before anything else.
_LONGEST_OF_FIRST: Final = 0.8
_PRACTICE: Final = "common practice, no source"


def check_slow_pointer(instrument: Instrument) -> list[Finding]:
    """Return what there is to say about the second pointer of an instrument, or about its lack."""
    slow, scale = instrument.slow_pointer, instrument.face.scale
    geared = isinstance(scale, MultiTurnScale) and scale.slow_pointer_ratio is not None
    if slow is None:
        return [_missing()] if geared else []
    try:
        pointer_loop(slow, field="slow_pointer")
    except DesignError as error:
        return [_impossible(error)]
    return [*([] if geared else [_idle()]), *_beside_the_first(slow, instrument.pointer)]


def _beside_the_first(slow: Pointer, first: Pointer) -> list[Finding]:
    found = []
    if slow.length_mm > first.length_mm * _LONGEST_OF_FIRST:
        found.append(
            Finding(
                rule="pointers-alike",
                severity=Severity.CAUTION,
                place="slow_pointer.length_mm",
                message="The slow pointer is nearly as long as the other, and is taken for it.",
                measured=f"{slow.length_mm:g} mm",
                wanted=f"at most {first.length_mm * _LONGEST_OF_FIRST:g} mm",
                source=_PRACTICE,
                remedy="Make the slow pointer shorter.",
            )
        )
    top_mm = slow.gap_mm + slow.thickness_mm
    if top_mm >= first.gap_mm:
        found.append(
            Finding(
                rule="pointers-touch",
                severity=Severity.CAUTION,
                place="slow_pointer.thickness_mm",
                message="The slow pointer does not pass below the other.",
                measured=f"its top is {top_mm:g} mm above the face",
                wanted=f"less than the other's gap of {first.gap_mm:g} mm",
                source="geometry",
                remedy="Make it thinner, or set the other pointer higher.",
            )
        )
    return found


def _missing() -> Finding:
    return Finding(
        rule="slow-pointer-missing",
        severity=Severity.NOTE,
        place="face.scale.slow_pointer_ratio",
        message="The scale gears a second pointer, and the instrument has none to be made.",
        source="completeness",
        remedy="Give slow_pointer its dimensions, or take the ratio out of the scale.",
    )


def _idle() -> Finding:
    return Finding(
        rule="slow-pointer-idle",
        severity=Severity.CAUTION,
        place="slow_pointer",
        message="There is a second pointer, and the scale does not say how it is geared.",
        wanted="a multi-turn scale with slow_pointer_ratio",
        source="completeness",
        remedy="Set the ratio, or leave the second pointer out.",
    )


def _impossible(error: DesignError) -> Finding:
    fault = error.fault
    return Finding(
        rule="pointer-cannot-be-drawn",
        severity=Severity.FAULT,
        place=fault.where,
        message=f"The slow pointer cannot be drawn: {fault.what}.",
        measured="" if fault.found is None else str(fault.found),
        wanted=fault.accepted,
        source="geometry",
        remedy="Change the dimension named here.",
    )
