"""Measured beside computed: which load is off.

A whole state tells only the sum of what is on, so a difference is laid on the group that the state adds to
the one before it: lamps, back-light, movement. A reading of one load alone tells that load.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gaugecore.supply.meter import MeterReading, State, When
from gaugecore.supply.off_by_one import explained, explained_alone
from gaugecore.supply.plausible import doubt_of_idle
from gaugecore.supply.source import Supply
from gaugecore.supply.states import Draws, draw_in

#: Meters of this kind and resistors differ by this much; below it nothing is said.
TOLERANCE_SHARE, TOLERANCE_MA = 0.10, 3.0

_GROUP = {
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
    added_computed_ma, added_measured_ma : float or None
        The same for what this state adds to the one before; None when that was not measured.
    suspect : str
        What is off; empty when they agree.
    as_if : str
        What would explain it with every figure right: ``as if one of two 'lamp' were dark``. Empty: nothing.
    """

    index: int
    state: State
    only: str
    computed_ma: float
    measured_ma: float
    added_computed_ma: float | None
    added_measured_ma: float | None
    suspect: str
    as_if: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOn:
    """What a difference of the panel at rest is laid on.

    Attributes
    ----------
    name : str
    movements : tuple of int
        Places of the movements that share it.
    load : int or None
        Place of the load that takes it; None: it cannot be laid on one.
    """

    name: str
    movements: tuple[int, ...] = ()
    load: int | None = None


def compare(supply: Supply, movements: Sequence[Draws]) -> tuple[Compared, ...]:
    """Return each meter reading beside what was computed."""
    return tuple(
        _compared(index, reading, supply, movements) for index, reading in enumerate(supply.measured)
    )


def _compared(index: int, reading: MeterReading, supply: Supply, movements: Sequence[Draws]) -> Compared:
    computed_ma = draw_in(supply, movements, reading.state).typical_ma
    before = State.ALL_OFF if reading.only else state_before(supply, reading.state)
    added_computed_ma = added_measured_ma = None
    if reading.only:
        computed_ma += _alone_ma(supply, reading.only)
    base_ma = measured_ma_of(supply, before) if before else None
    if before and base_ma is not None:
        added_computed_ma = computed_ma - draw_in(supply, movements, before).typical_ma
        added_measured_ma = reading.current_ma - base_ma
    off_ma, scale_ma = reading.current_ma - computed_ma, computed_ma
    if added_computed_ma is not None and added_measured_ma is not None:
        off_ma, scale_ma = added_measured_ma - added_computed_ma, added_computed_ma
    suspect = as_if = ""
    if abs(off_ma) > max(TOLERANCE_MA, TOLERANCE_SHARE * scale_ma):
        as_if = (
            explained_alone(supply, reading.only, off_ma)
            if reading.only
            else explained(supply, movements, reading.state, off_ma)
        )
        what = repr(reading.only) if reading.only else _GROUP.get(reading.state, "the panel at rest")
        if reading.state is State.ALL_OFF and not reading.only and not as_if:
            what = laid_at_rest(supply, movements, off_ma).name
        if before and base_ma is None:
            what += ", or a state before it"
        suspect = f"{what}: {abs(off_ma):.1f} mA {'more' if off_ma > 0 else 'less'} than computed"
        suspect += f", {as_if}" if as_if else ""
    return Compared(
        index=index,
        state=reading.state,
        only=reading.only,
        computed_ma=computed_ma,
        measured_ma=reading.current_ma,
        added_computed_ma=added_computed_ma,
        added_measured_ma=added_measured_ma,
        suspect=suspect,
        as_if=as_if,
    )


def state_before(supply: Supply, state: State) -> State | None:
    """Return the state that one adds to; a back-light that draws nothing is passed over."""
    before = STATE_BEFORE.get(state)
    if before is State.BACK_LIGHT and measured_ma_of(supply, before) is None:
        lit = {load.when for load in supply.loads} | {string.when for string in supply.led_strings}
        return before if When.BACK_LIGHT in lit else State.ALL_OFF
    return before


def laid_at_rest(supply: Supply, movements: Sequence[Draws], off_ma: float) -> LaidOn:
    """Return what a difference of the panel at rest, measured less computed, is laid on.

    On the servos when that leaves each a current that can be, else on the one load that is always on.
    """
    free = tuple(i for i, movement in enumerate(movements) if not movement.draws_by_coils)
    if free and not supply.movements_apart:
        share_ma = off_ma / len(free)
        if not any(doubt_of_idle(movements[i], movements[i].idle_ma + share_ma) for i in free):
            return LaidOn(name=f"the movement{'s' * (len(free) > 1)} at rest", movements=free)
    always = [i for i, load in enumerate(supply.loads) if load.when is When.ALWAYS]
    if len(always) == 1:
        return LaidOn(name=repr(supply.loads[always[0]].name), load=always[0])
    return LaidOn(name="what is always on")


def _alone_ma(supply: Supply, name: str) -> float:
    return sum(s.mean_ma(supply.volts) for s in supply.led_strings if s.name == name) + sum(
        load.current_ma * load.count for load in supply.loads if load.name == name
    )


def measured_ma_of(supply: Supply, state: State | None) -> float | None:
    """Return the mean of the whole-state readings, None when there are none."""
    found = [r.current_ma for r in supply.measured if r.state is state and not r.only]
    return sum(found) / len(found) if found else None
