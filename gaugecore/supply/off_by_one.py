"""What explains a meter reading with every figure right: a dark lamp, a movement that is not connected.

A count that is off by one changes the current by one load's worth. Where the meter shows just that, no
forward voltage or idle current is refitted: it would hide what is broken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gaugecore.supply.meter import State, When
from gaugecore.supply.source import Supply
from gaugecore.supply.states import Draws, hungriest_of

#: A difference is one load's worth when it is no further from it than this share of it (a guess).
SAME_SHARE = 0.25
#: What a meter of this kind cannot tell from nothing.
NOTHING_MA = 3.0

_ADDED = {State.ALL_OFF: When.ALWAYS, State.BACK_LIGHT: When.BACK_LIGHT, State.LAMP_TEST: When.LAMP}
_WORDS = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True, slots=True)
class _Several:
    """Loads of one kind: what they are called, how many, what each draws, what one is when it is missing."""

    name: str
    count: int
    each_ma: float
    missing: str


def explained(supply: Supply, movements: Sequence[Draws], state: State, off_ma: float) -> str:
    """Return what would explain a difference in what a state adds, as a clause; empty when nothing would.

    Parameters
    ----------
    state : State
    off_ma : float
        Measured less computed.

    Examples
    --------
    >>> from gaugecore.supply.leds import LedString
    >>> desk = Supply(led_strings=(LedString(name="lamp", count=2),))
    >>> explained(desk, (), State.LAMP_TEST, -20.0)
    "as if one of two 'lamp' were dark"
    """
    if state in _ADDED:
        loads = _loads(supply, _ADDED[state])
        standing = "" if state is not State.ALL_OFF else _movements_missing(supply, movements, off_ma)
        return standing or _one_missing(loads, off_ma) or _one_more(loads, off_ma)
    return _not_as_asked(movements, state, off_ma) if movements and not supply.movements_apart else ""


def explained_alone(supply: Supply, name: str, off_ma: float) -> str:
    """Return what would explain a difference in what one load or string adds on its own."""
    loads = [several for when in When for several in _loads(supply, when) if several.name == name]
    return _one_missing(loads, off_ma) or _one_more(loads, off_ma)


def _loads(supply: Supply, when: When) -> list[_Several]:
    strings = [
        _Several(s.name, s.count, s.mean_ma(supply.volts) / s.count, "dark")
        for s in supply.led_strings
        if s.when is when
    ]
    others = [
        _Several(load.name, load.count, load.current_ma, "not connected")
        for load in supply.loads
        if load.when is when
    ]
    return strings + others


def _same(off_ma: float, load_ma: float) -> bool:
    return abs(load_ma) > 0.0 and abs(off_ma - load_ma) <= SAME_SHARE * abs(load_ma)


def _one_missing(loads: Sequence[_Several], off_ma: float) -> str:
    fit = sorted(
        (several for several in loads if _same(off_ma, -several.each_ma)),
        key=lambda several: abs(off_ma + several.each_ma),
    )
    if not fit:
        return ""
    best = [several for several in fit if several.each_ma == fit[0].each_ma]
    if len(best) > 2:
        return f"as if one of these were {best[0].missing}: {', '.join(repr(s.name) for s in best)}"
    return f"as if {' or '.join(_one_of(several) for several in best)} were {best[0].missing}"


def _one_of(several: _Several) -> str:
    return repr(several.name) if several.count == 1 else f"one of {_number(several.count)} {several.name!r}"


def _one_more(loads: Sequence[_Several], off_ma: float) -> str:
    # what stands alone is not miscounted
    fit = [several for several in loads if several.count > 1 and _same(off_ma, several.each_ma)]
    if not fit:
        return ""
    return f"as if there were {_number(fit[0].count + 1)} {fit[0].name!r} and not {_number(fit[0].count)}"


def _movements_missing(supply: Supply, movements: Sequence[Draws], off_ma: float) -> str:
    """Return how many movements would have to be missing at rest."""
    if supply.movements_apart or not movements:
        return ""
    if len(movements) == 1:
        only = movements[0]
        gone = _same(off_ma, -only.idle_ma)
        return f"as if {only.name!r} were not connected, or not on this supply" if gone else ""
    if _same(off_ma, -sum(movement.idle_ma for movement in movements)):
        return "as if no movement were connected, or none on this supply: then set movements_apart"
    each_ma = movements[0].idle_ma
    if any(movement.idle_ma != each_ma for movement in movements):
        likely = min(movements, key=lambda movement: abs(off_ma + movement.idle_ma))
        gone = _same(off_ma, -likely.idle_ma)
        return f"as if {likely.name!r} were not connected" if gone else ""
    for missing in range(1, len(movements)):
        if abs(off_ma + missing * each_ma) <= SAME_SHARE * each_ma and each_ma > 0.0:
            were = "was" if missing == 1 else "were"
            return f"as if {_number(missing)} of {_number(len(movements))} movements {were} not connected"
    return ""


def _not_as_asked(movements: Sequence[Draws], state: State, off_ma: float) -> str:
    """Return which movement would have to do something else than the state asks."""

    def at_rest(movement: Draws) -> bool:
        # a movement that turns freely may draw a small part of its figure, so only nothing at all counts
        adds_ma = movement.moving_ma - movement.idle_ma
        return abs(off_ma + adds_ma) <= NOTHING_MA < adds_ma / 2.0

    if state is State.ALL_MOVING:
        still = [movement for movement in movements if at_rest(movement)]
        return f"as if {still[0].name!r} did not turn" if still else ""
    movement = movements[hungriest_of(movements, state)]
    if movement.stall_ma <= movement.moving_ma:
        return ""
    if state is State.ONE_MOVING:
        if at_rest(movement):
            return f"as if {movement.name!r} did not turn"
        held = _same(off_ma, movement.stall_ma - movement.moving_ma)
        return f"as if {movement.name!r} were held fast" if held else ""
    free = any(_same(off_ma, ma - movement.stall_ma) for ma in (movement.moving_ma, movement.idle_ma))
    return f"as if {movement.name!r} were not held fast" if free else ""


def _number(count: int) -> str:
    return _WORDS[count] if count < len(_WORDS) else str(count)
