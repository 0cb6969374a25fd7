"""The figures that the meter would have: the forward voltages and currents that make both agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gaugecore.supply.compare import TOLERANCE_MA, laid_at_rest, measured_ma_of, state_before
from gaugecore.supply.leds import LedString, forward_v_from
from gaugecore.supply.meter import State, When
from gaugecore.supply.off_by_one import explained, explained_alone
from gaugecore.supply.plausible import doubt_of_forward, doubt_of_moving, doubt_of_stall
from gaugecore.supply.source import Load, Supply
from gaugecore.supply.states import Draws, draw_in, hungriest_of

#: A smaller correction is not one.
_WORTH_SAYING = {"V": 0.005, "mA": 0.5}


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
    state : State
        Of the meter reading that tells it.
    only : str
        The load measured alone in that reading, or empty.
    as_if : str
        What explains the reading as well with every figure right; then the figure is not offered.
    doubt : str
        Why the figure cannot be; then it is not offered either.
    """

    place: str
    name: str
    before: float
    after: float
    unit: str
    state: State
    only: str = ""
    as_if: str = ""
    doubt: str = ""


def refit(supply: Supply, movements: Sequence[Draws]) -> tuple[Refit, ...]:
    """Return the forward voltages and currents that make computed and measured agree.

    A group measured as a whole shares one correction: every LED in it gets the same change of forward
    voltage. What cannot be, such as an LED of 0.3 V, and what a dark lamp or a movement that is not connected
    explains as well is left out; `withheld` has it, and the suspect row says so.
    """
    return tuple(fit for fit in _fits(supply, movements) if not fit.as_if and not fit.doubt)


def withheld(supply: Supply, movements: Sequence[Draws]) -> tuple[Refit, ...]:
    """Return the figures that are not offered, each with what speaks against it."""
    return tuple(fit for fit in _fits(supply, movements) if fit.as_if or fit.doubt)


def _fits(supply: Supply, movements: Sequence[Draws]) -> tuple[Refit, ...]:
    fits = [fit for i, string in enumerate(supply.led_strings) for fit in _refit_alone(supply, i, string)]
    for state, when in ((State.BACK_LIGHT, When.BACK_LIGHT), (State.LAMP_TEST, When.LAMP)):
        fits += _refit_group(supply, state, when)
    rest = _refit_rest(supply, movements)
    fits += rest
    fits += _refit_moving(supply, movements, rest)
    return tuple(fit for fit in fits if abs(fit.after - fit.before) >= _WORTH_SAYING[fit.unit])


def _refit_alone(supply: Supply, index: int, string: LedString) -> list[Refit]:
    rest_ma = measured_ma_of(supply, State.ALL_OFF)
    alone = [r.current_ma for r in supply.measured if r.only == string.name]
    if not alone or rest_ma is None or string.duty <= 0.0:
        return []
    added_ma, computed_ma = sum(alone) / len(alone) - rest_ma, string.mean_ma(supply.volts)
    off_ma = added_ma - computed_ma
    as_if = explained_alone(supply, string.name, off_ma) if abs(off_ma) > TOLERANCE_MA else ""
    forward_v = forward_v_from(added_ma / string.duty, supply.volts, string)
    return [_forward(supply, index, forward_v, State.ALL_OFF, as_if, only=string.name)]


def _refit_group(supply: Supply, state: State, when: When) -> list[Refit]:
    measured_ma, before_ma = (
        measured_ma_of(supply, state),
        measured_ma_of(supply, state_before(supply, state)),
    )
    alone = {r.only for r in supply.measured if r.only}
    strings = [(i, s) for i, s in enumerate(supply.led_strings) if s.when is when]
    if measured_ma is None or before_ma is None or not strings or any(s.name in alone for _, s in strings):
        return []
    others_ma = sum(load.current_ma * load.count for load in supply.loads if load.when is when)
    computed_ma = sum(s.mean_ma(supply.volts) for _, s in strings)
    ma_per_v = sum(s.leds * s.count * s.duty / s.resistor_ohm * 1000.0 for _, s in strings)
    if ma_per_v == 0.0:
        return []
    off_ma = measured_ma - before_ma - others_ma - computed_ma
    as_if = explained(supply, (), state, off_ma) if abs(off_ma) > TOLERANCE_MA else ""
    # the sum of (V - n V_F) / R is linear in a common change of V_F, also below zero where no current flows
    straight_ma = sum(
        (supply.volts - s.leds * s.forward_v) / s.resistor_ohm * 1000.0 * s.count * s.duty for _, s in strings
    )
    change_v = (straight_ma - (measured_ma - before_ma - others_ma)) / ma_per_v
    return [_forward(supply, i, s.forward_v + change_v, state, as_if) for i, s in strings]


def _forward(
    supply: Supply, index: int, forward_v: float, state: State, as_if: str, *, only: str = ""
) -> Refit:
    string = supply.led_strings[index]
    return Refit(
        place=f"supply.led_strings.{index}.forward_v",
        name=string.name,
        before=string.forward_v,
        after=forward_v,
        unit="V",
        state=state,
        only=only,
        as_if=as_if,
        doubt=doubt_of_forward(string, forward_v, supply.volts),
    )


def _refit_rest(supply: Supply, movements: Sequence[Draws]) -> list[Refit]:
    """Lay what the panel at rest draws too much or too little on the idle currents, else on the board."""
    rest_ma = measured_ma_of(supply, State.ALL_OFF)
    if rest_ma is None:
        return []
    computed_ma = draw_in(supply, movements, State.ALL_OFF).typical_ma
    off_ma = rest_ma - computed_ma
    as_if = explained(supply, movements, State.ALL_OFF, off_ma) if abs(off_ma) > TOLERANCE_MA else ""
    laid = laid_at_rest(supply, movements, off_ma)
    fits = [
        _current(
            movements[i],
            f"movements.{i}.idle_ma",
            movements[i].idle_ma,
            movements[i].idle_ma + off_ma / len(laid.movements),
            State.ALL_OFF,
            as_if=as_if,
        )
        for i in laid.movements
    ]
    if laid.load is not None:
        load = supply.loads[laid.load]
        after_ma = load.current_ma + off_ma / load.count
        doubt = "" if after_ma >= 0.0 else "a current is not below 0 mA"
        place = f"supply.loads.{laid.load}.current_ma"
        fits.append(_current(load, place, load.current_ma, after_ma, State.ALL_OFF, as_if=as_if, doubt=doubt))
    return fits


def _refit_moving(supply: Supply, movements: Sequence[Draws], rest: Sequence[Refit]) -> list[Refit]:
    lamps_ma = measured_ma_of(supply, State.LAMP_TEST)
    if not movements or lamps_ma is None or supply.movements_apart:
        return []
    known = {fit.place: fit.after for fit in rest if not fit.as_if and not fit.doubt}
    fits: list[Refit] = []
    for state, key in ((State.ONE_MOVING, "moving_ma"), (State.ONE_STALLED, "stall_ma")):
        at = hungriest_of(movements, state)
        movement, measured_ma = movements[at], measured_ma_of(supply, state)
        if measured_ma is None or movement.draws_by_coils:
            continue
        moving = state is State.ONE_MOVING
        before_ma = movement.moving_ma if moving else movement.stall_ma
        idle_ma = known.get(f"movements.{at}.idle_ma", movement.idle_ma)
        after_ma = measured_ma - lamps_ma + idle_ma
        off_ma = measured_ma - lamps_ma - (before_ma - movement.idle_ma)
        moving_ma = known.get(f"movements.{at}.moving_ma", movement.moving_ma)
        fit = _current(
            movement,
            f"movements.{at}.{key}",
            before_ma,
            after_ma,
            state,
            as_if=explained(supply, movements, state, off_ma) if abs(off_ma) > TOLERANCE_MA else "",
            doubt=doubt_of_moving(movement, after_ma, idle_ma)
            if moving
            else doubt_of_stall(movement, after_ma, moving_ma),
        )
        fits.append(fit)
        if not fit.as_if and not fit.doubt:
            known[fit.place] = fit.after
    return fits


def _current(
    of: Load | Draws,
    place: str,
    before_ma: float,
    after_ma: float,
    state: State,
    *,
    as_if: str,
    doubt: str = "",
) -> Refit:
    return Refit(
        place=place,
        name=of.name,
        before=before_ma,
        after=after_ma,
        unit="mA",
        state=state,
        as_if=as_if,
        doubt=doubt,
    )
