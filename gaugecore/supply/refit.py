"""The figures that the meter would have: the forward voltages and currents that make both agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gaugecore.supply.compare import STATE_BEFORE, measured_ma_of
from gaugecore.supply.leds import LedString, forward_v_from
from gaugecore.supply.meter import State, When
from gaugecore.supply.source import Supply
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
    """

    place: str
    name: str
    before: float
    after: float
    unit: str


def refit(supply: Supply, movements: Sequence[Draws]) -> tuple[Refit, ...]:
    """Return the forward voltages and currents that make computed and measured agree.

    A group measured as a whole shares one correction: every LED in it gets the same change of forward
    voltage. What cannot be, such as a forward voltage below zero, is left out; the suspect row says so.
    """
    fits: list[Refit] = []
    rest_ma = measured_ma_of(supply, State.ALL_OFF)
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
    measured_ma, before_ma = measured_ma_of(supply, state), measured_ma_of(supply, STATE_BEFORE[state])
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
    lamps_ma = measured_ma_of(supply, State.LAMP_TEST)
    if not movements or lamps_ma is None or supply.movements_apart:
        return []
    idle = {fit.place: fit.after for fit in _refit_rest(supply, movements, rest_ma)}
    fits: list[Refit] = []
    for state, key in ((State.ONE_MOVING, "moving_ma"), (State.ONE_STALLED, "stall_ma")):
        at = hungriest_of(movements, state)
        movement, measured_ma = movements[at], measured_ma_of(supply, state)
        if measured_ma is None or movement.draws_by_coils:
            continue
        before_ma = movement.moving_ma if state is State.ONE_MOVING else movement.stall_ma
        after_ma = measured_ma - lamps_ma + idle.get(f"movements.{at}.idle_ma", movement.idle_ma)
        if after_ma >= 0.0:
            fits.append(
                Refit(
                    place=f"movements.{at}.{key}",
                    name=movement.name,
                    before=before_ma,
                    after=after_ma,
                    unit="mA",
                )
            )
    return fits
