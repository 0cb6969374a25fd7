"""Measured beside computed: which load is off.

A whole state tells only the sum of what is on, so a difference is laid on the group that the state adds to
the one before it: lamps, back-light, movement. A reading of one load alone tells that load.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gaugecore.findings import Finding, Severity
from gaugecore.supply.meter import MeterReading, State
from gaugecore.supply.source import Supply
from gaugecore.supply.states import Draws, draw_in

#: Meters of this kind and resistors differ by this much; below it nothing is said.
TOLERANCE_SHARE, TOLERANCE_MA = 0.10, 3.0

_GROUP = {
    State.ALL_OFF: "the board and what is always on",
    State.BACK_LIGHT: "the back-light",
    State.LAMP_TEST: "the lamps",
    State.ONE_MOVING: "the moving current of the hungriest movement",
    State.ALL_MOVING: "the moving currents",
    State.ONE_STALLED: "the stall current of the hungriest movement",
}
STATE_BEFORE = {
    State.BACK_LIGHT: State.ALL_OFF,
    State.LAMP_TEST: State.BACK_LIGHT,
    State.ONE_MOVING: State.LAMP_TEST,
    State.ALL_MOVING: State.LAMP_TEST,
    State.ONE_STALLED: State.LAMP_TEST,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One meter reading beside its computed figure.

    Attributes
    ----------
    index : int
        Place of the reading in ``supply.measured``.
    state : State
    only : str
        The load measured alone, or empty.
    computed_ma, measured_ma : float
    added_computed_ma, addedmeasured_ma_of : float or None
        The same for what this state adds to the one before; None when that was not measured.
    suspect : str
        What is off; empty when they agree.
    """

    index: int
    state: State
    only: str
    computed_ma: float
    measured_ma: float
    added_computed_ma: float | None
    addedmeasured_ma_of: float | None
    suspect: str


def compare(supply: Supply, movements: Sequence[Draws]) -> tuple[Compared, ...]:
    """Return each meter reading beside what was computed."""
    return tuple(
        _compared(index, reading, supply, movements) for index, reading in enumerate(supply.measured)
    )


def _compared(index: int, reading: MeterReading, supply: Supply, movements: Sequence[Draws]) -> Compared:
    computed_ma = draw_in(supply, movements, reading.state).typical_ma
    before = State.ALL_OFF if reading.only else STATE_BEFORE.get(reading.state)
    added_computed_ma = addedmeasured_ma_of = None
    if reading.only:
        computed_ma += _alone_ma(supply, reading.only)
    base_ma = measured_ma_of(supply, before) if before else None
    if before and base_ma is not None:
        added_computed_ma = computed_ma - draw_in(supply, movements, before).typical_ma
        addedmeasured_ma_of = reading.current_ma - base_ma
    off_ma, scale_ma = reading.current_ma - computed_ma, computed_ma
    if added_computed_ma is not None and addedmeasured_ma_of is not None:
        off_ma, scale_ma = addedmeasured_ma_of - added_computed_ma, added_computed_ma
    suspect = ""
    if abs(off_ma) > max(TOLERANCE_MA, TOLERANCE_SHARE * scale_ma):
        what = repr(reading.only) if reading.only else _GROUP[reading.state]
        if before and base_ma is None:
            what += ", or a state before it"
        suspect = f"{what}: {abs(off_ma):.1f} mA {'more' if off_ma > 0 else 'less'} than computed"
    return Compared(
        index=index,
        state=reading.state,
        only=reading.only,
        computed_ma=computed_ma,
        measured_ma=reading.current_ma,
        added_computed_ma=added_computed_ma,
        addedmeasured_ma_of=addedmeasured_ma_of,
        suspect=suspect,
    )


def _alone_ma(supply: Supply, name: str) -> float:
    return sum(s.mean_ma(supply.volts) for s in supply.led_strings if s.name == name) + sum(
        load.current_ma * load.count for load in supply.loads if load.name == name
    )


def measured_ma_of(supply: Supply, state: State | None) -> float | None:
    """Return the mean of the whole-state readings, None when there are none."""
    found = [r.current_ma for r in supply.measured if r.state is state and not r.only]
    return sum(found) / len(found) if found else None


def check_measured(supply: Supply, movements: Sequence[Draws]) -> list[Finding]:
    """Return a finding for each meter reading that the computation does not bear out."""
    names = {load.name for load in supply.loads} | {string.name for string in supply.led_strings}
    found = [
        Finding(
            rule="meter-reading-of-nothing",
            severity=Severity.CAUTION,
            place=f"supply.measured.{index}.only",
            message=f"a meter reading is of {reading.only!r}, and the supply has no such load",
            measured=reading.only,
            wanted=", ".join(sorted(names)) or "a load",
            remedy="name the load or LED string exactly",
        )
        for index, reading in enumerate(supply.measured)
        if reading.only and reading.only not in names
    ]
    found += [
        Finding(
            rule="measured-differs",
            severity=Severity.CAUTION,
            place=f"supply.measured.{row.index}",
            message=f"measured and computed differ: {row.suspect}",
            measured=f"{row.measured_ma:.0f} mA",
            wanted=f"about {row.computed_ma:.0f} mA, as computed",
            source="the meter",
            remedy="look at that load first; if the meter is right, take over the refitted figures",
        )
        for row in compare(supply, movements)
        if row.suspect and (not row.only or row.only in names)
    ]
    return found
