"""Measured beside computed: which load is off, and the figures that the meter would have.

A whole state tells only the sum of what is on, so a difference is laid on the group that the state adds to
the one before it: lamps, back-light, movement. A reading of one load alone tells that load.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gaugecore.findings import Finding, Severity
from gaugecore.supply.leds import LedString, forward_v_from
from gaugecore.supply.meter import MeterReading, State, When
from gaugecore.supply.source import Supply
from gaugecore.supply.states import Draws, draw_in, hungriest_of

#: Meters of this kind and resistors differ by this much; below it nothing is said.
TOLERANCE_SHARE, TOLERANCE_MA = 0.10, 3.0

#: A smaller correction is not one.
_WORTH_SAYING = {"V": 0.005, "mA": 0.5}

_GROUP = {
    State.ALL_OFF: "the board and what is always on",
    State.BACK_LIGHT: "the back-light",
    State.LAMP_TEST: "the lamps",
    State.ONE_MOVING: "the moving current of the hungriest movement",
    State.ALL_MOVING: "the moving currents",
    State.ONE_STALLED: "the stall current of the hungriest movement",
}
_BEFORE = {
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
    """

    index: int
    state: State
    only: str
    computed_ma: float
    measured_ma: float
    added_computed_ma: float | None
    added_measured_ma: float | None
    suspect: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Refit:
    """A figure that the meter corrects.

    Attributes
    ----------
    place : str
        Path of the figure: ``supply.led_strings.0.forward_v``, or ``movements.1.idle_ma`` by its place in
        the sequence.
    name : str
        The load.
    before, after : float
    unit : str
    """

    place: str
    name: str
    before: float
    after: float
    unit: str


def compare(supply: Supply, movements: Sequence[Draws]) -> tuple[Compared, ...]:
    """Return each meter reading beside what was computed."""
    return tuple(
        _compared(index, reading, supply, movements) for index, reading in enumerate(supply.measured)
    )


def _compared(index: int, reading: MeterReading, supply: Supply, movements: Sequence[Draws]) -> Compared:
    computed_ma = draw_in(supply, movements, reading.state).typical_ma
    before = State.ALL_OFF if reading.only else _BEFORE.get(reading.state)
    added_computed_ma = added_measured_ma = None
    if reading.only:
        computed_ma += _alone_ma(supply, reading.only)
    base_ma = _measured_ma(supply, before) if before else None
    if before and base_ma is not None:
        added_computed_ma = computed_ma - draw_in(supply, movements, before).typical_ma
        added_measured_ma = reading.current_ma - base_ma
    off_ma, scale_ma = reading.current_ma - computed_ma, computed_ma
    if added_computed_ma is not None and added_measured_ma is not None:
        off_ma, scale_ma = added_measured_ma - added_computed_ma, added_computed_ma
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
        added_measured_ma=added_measured_ma,
        suspect=suspect,
    )


def _alone_ma(supply: Supply, name: str) -> float:
    return sum(s.mean_ma(supply.volts) for s in supply.led_strings if s.name == name) + sum(
        load.current_ma * load.count for load in supply.loads if load.name == name
    )


def _measured_ma(supply: Supply, state: State | None) -> float | None:
    """Return the mean of the whole-state readings, None when there are none."""
    found = [r.current_ma for r in supply.measured if r.state is state and not r.only]
    return sum(found) / len(found) if found else None


def refit(supply: Supply, movements: Sequence[Draws]) -> tuple[Refit, ...]:
    """Return the forward voltages and currents that make computed and measured agree.

    A group measured as a whole shares one correction: every LED in it gets the same change of forward
    voltage. What cannot be, such as a forward voltage below zero, is left out; the suspect row says so.
    """
    fits: list[Refit] = []
    rest_ma = _measured_ma(supply, State.ALL_OFF)
    for index, string in enumerate(supply.led_strings):
        alone = [r.current_ma for r in supply.measured if r.only == string.name]
        if alone and rest_ma is not None and string.duty > 0:
            peak_ma = (sum(alone) / len(alone) - rest_ma) / string.duty
            fits += _forward(index, string, forward_v_from(peak_ma, supply.volts, string), supply.volts)
    for state, when in ((State.BACK_LIGHT, When.BACK_LIGHT), (State.LAMP_TEST, When.LAMP)):
        fits += _refit_group(supply, state, when)
    fits += _refit_rest(supply, movements, rest_ma)
    fits += _refit_moving(supply, movements, rest_ma)
    return tuple(fit for fit in fits if abs(fit.after - fit.before) >= _WORTH_SAYING[fit.unit])


def _refit_group(supply: Supply, state: State, when: When) -> list[Refit]:
    measured_ma, before_ma = _measured_ma(supply, state), _measured_ma(supply, _BEFORE[state])
    alone = {r.only for r in supply.measured if r.only}
    strings = [(i, s) for i, s in enumerate(supply.led_strings) if s.when is when]
    if measured_ma is None or before_ma is None or not strings or any(s.name in alone for _, s in strings):
        return []
    others_ma = sum(load.current_ma * load.count for load in supply.loads if load.when is when)
    # the sum of (V - n V_F) / R is linear in a common change of V_F
    computed_ma = sum(s.mean_ma(supply.volts) for _, s in strings)
    ma_per_v = sum(s.leds * s.count * s.duty / s.resistor_ohm * 1000.0 for _, s in strings)
    if ma_per_v == 0.0:
        return []
    change_v = (computed_ma - (measured_ma - before_ma - others_ma)) / ma_per_v
    return [fit for i, s in strings for fit in _forward(i, s, s.forward_v + change_v, supply.volts)]


def _forward(index: int, string: LedString, forward_v: float, volts: float) -> list[Refit]:
    if not 0.0 < forward_v * string.leds < volts:
        return []
    return [
        Refit(
            place=f"supply.led_strings.{index}.forward_v",
            name=string.name,
            before=string.forward_v,
            after=forward_v,
            unit="V",
        )
    ]


def _refit_rest(supply: Supply, movements: Sequence[Draws], rest_ma: float | None) -> list[Refit]:
    """Lay what the panel at rest draws too much or too little on the idle currents, else on the board."""
    if rest_ma is None:
        return []
    change_ma = rest_ma - draw_in(supply, movements, State.ALL_OFF).typical_ma
    free = [i for i, m in enumerate(movements) if not m.draws_by_coils and not supply.movements_apart]
    share_ma = change_ma / len(free) if free else 0.0
    if free and all(movements[i].idle_ma + share_ma >= 0.0 for i in free):
        return [
            Refit(
                place=f"movements.{i}.idle_ma",
                name=movements[i].name,
                before=movements[i].idle_ma,
                after=movements[i].idle_ma + share_ma,
                unit="mA",
            )
            for i in free
        ]
    always = [(i, load) for i, load in enumerate(supply.loads) if load.when is When.ALWAYS]
    if len(always) != 1:
        return []
    index, load = always[0]
    after_ma = load.current_ma + change_ma / load.count
    if after_ma < 0.0:
        return []
    return [
        Refit(
            place=f"supply.loads.{index}.current_ma",
            name=load.name,
            before=load.current_ma,
            after=after_ma,
            unit="mA",
        )
    ]


def _refit_moving(supply: Supply, movements: Sequence[Draws], rest_ma: float | None) -> list[Refit]:
    lamps_ma = _measured_ma(supply, State.LAMP_TEST)
    at = hungriest_of(movements)
    if at < 0 or lamps_ma is None or supply.movements_apart or movements[at].draws_by_coils:
        return []
    idle_ma = next(
        (r.after for r in _refit_rest(supply, movements, rest_ma) if r.place == f"movements.{at}.idle_ma"),
        movements[at].idle_ma,
    )
    fits: list[Refit] = []
    for state, key, before_ma in (
        (State.ONE_MOVING, "moving_ma", movements[at].moving_ma),
        (State.ONE_STALLED, "stall_ma", movements[at].stall_ma),
    ):
        measured_ma = _measured_ma(supply, state)
        after_ma = None if measured_ma is None else measured_ma - lamps_ma + idle_ma
        if after_ma is not None and after_ma >= 0.0:
            fits.append(
                Refit(
                    place=f"movements.{at}.{key}",
                    name=movements[at].name,
                    before=before_ma,
                    after=after_ma,
                    unit="mA",
                )
            )
    return fits


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
