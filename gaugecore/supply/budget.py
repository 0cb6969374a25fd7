"""The check of the supply: source, movements' supply, pins, LED strings, wires."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.findings import Finding, Severity
from gaugecore.supply.caution import LOCAL_RULES
from gaugecore.supply.compare import check_measured
from gaugecore.supply.leds import RATED_W, LedString
from gaugecore.supply.meter import State
from gaugecore.supply.pins import LIMITS, Controller, Overload, PinLoad, overloads
from gaugecore.supply.source import UNCONFIGURED_MA, Supply
from gaugecore.supply.states import Draw, Draws, draw_in, draws, highest_v, inrush_ma
from gaugecore.supply.wires import thinnest_awg

_USB = "USB power articles (unit loads, BC 1.2, USB-C advertised); the standards themselves not seen"
_PRACTICE = "common practice, no source"


def check_supply(supply: Supply, movements: Sequence[Draws]) -> list[Finding]:
    """Return every finding of the supply.

    Parameters
    ----------
    supply : Supply
    movements : sequence of Draws
        The movements of the panel, in its order.
    """
    states = draws(supply, movements)
    return [
        *_check_source(supply, states),
        *_check_movements_supply(supply, movements, states),
        *_check_strings(supply),
        *_check_pins(supply, movements),
        *_check_wires(supply, movements, states),
        *check_measured(supply, movements),
    ]


def _check_source(supply: Supply, states: tuple[Draw, ...]) -> list[Finding]:
    limit_ma = supply.source_limit_ma
    normal = [draw for draw in states if draw.state is not State.ONE_STALLED]
    stalled = next(draw for draw in states if draw.state is State.ONE_STALLED)
    typical = max(normal, key=lambda draw: draw.typical_ma)
    worst = max(normal, key=lambda draw: draw.worst_ma)
    found = []
    if typical.typical_ma > limit_ma:
        found.append(_overload(supply, typical, Severity.FAULT, "typically"))
    elif worst.worst_ma > limit_ma:
        found.append(_overload(supply, worst, Severity.CAUTION, "in the worst case"))
    if stalled.typical_ma > limit_ma:
        found.append(_overload(supply, stalled, Severity.CAUTION, "when a needle is held fast"))
    before_ma = UNCONFIGURED_MA.get(supply.source)
    rest_ma = states[0].typical_ma
    if before_ma is not None and rest_ma > before_ma:
        found.append(
            Finding(
                rule="draws-much-before-configured",
                severity=Severity.CAUTION,
                place="supply.source",
                message="at rest the panel draws more than a port gives before the host accepts the device",
                measured=f"{rest_ma:.0f} mA",
                wanted=f"at most {before_ma:.0f} mA, one unit load",
                source=_USB,
                remedy="switch lamps and movements on only after the port has been opened",
            )
        )
    return found


def _overload(supply: Supply, draw: Draw, severity: Severity, case: str) -> Finding:
    worst = case == "in the worst case"
    total_ma = draw.worst_ma if worst else draw.typical_ma
    movers_ma = draw.movements_worst_ma if worst else draw.movements_typical_ma
    if movers_ma and not supply.movements_apart:
        remedy = (
            f"a separate certified 5 V supply for the movements, with common ground and never fed back into "
            f"USB, takes {movers_ma:.0f} mA off the source and leaves {total_ma - movers_ma:.0f} mA"
        )
    else:
        remedy = f"a source of at least {total_ma:.0f} mA, fewer lamps at once, or larger resistors"
    return Finding(
        rule="source-overloaded" if draw.state is not State.ONE_STALLED else "stall-current",
        severity=severity,
        place="supply.source",
        message=f"the state {draw.state.value} draws more than the source may give, {case}",
        measured=f"{total_ma:.0f} mA",
        wanted=f"at most {limit_words(supply)}",
        source=_USB,
        remedy=f"{remedy}. {LOCAL_RULES}",
    )


def limit_words(supply: Supply) -> str:
    """Return the source's limit as people read it."""
    return f"{supply.source_limit_ma:.0f} mA ({supply.source.value})"


def _check_movements_supply(
    supply: Supply, movements: Sequence[Draws], states: tuple[Draw, ...]
) -> list[Finding]:
    if not movements:
        return []
    limit_ma = supply.movements_source_limit_ma if supply.movements_apart else supply.source_limit_ma
    place = "supply.movements_limit_ma" if supply.movements_apart else "supply.movements_apart"
    rest_ma = 0.0 if supply.movements_apart else draw_in(supply, (), State.LAMP_TEST).worst_ma
    found = []
    start_ma = inrush_ma(movements) + rest_ma
    if start_ma > limit_ma:
        found.append(
            Finding(
                rule="starting-current",
                severity=Severity.CAUTION,
                place=place,
                message="movements starting all at once, as at power-up, draw more than their supply gives",
                measured=f"{start_ma:.0f} mA",
                wanted=f"at most {limit_ma:.0f} mA",
                source=_PRACTICE,
                remedy=(
                    f"start them one after the other, or a separate certified 5 V supply of at least "
                    f"{inrush_ma(movements):.0f} mA with common ground and a capacitor at the movements. "
                    f"{LOCAL_RULES}"
                ),
            )
        )
    moving_ma = max(draw.movements_typical_ma for draw in states)
    if supply.movements_apart:
        found.append(
            Finding(
                rule="separate-supply",
                severity=Severity.NOTE,
                place="supply.movements_apart",
                message="the movements' own supply works only with its ground joined to the board's ground",
                measured=f"{moving_ma:.0f} mA in the hungriest state",
                wanted=f"at most {limit_ma:.0f} mA",
                source=_PRACTICE,
                remedy=(
                    "join the grounds at one point, keep the two 5 V lines apart, and a capacitor of some "
                    f"hundred µF at the movements. {LOCAL_RULES}"
                ),
            )
        )
    if supply.movements_apart and moving_ma > limit_ma:
        found.append(
            Finding(
                rule="movements-supply-overloaded",
                severity=Severity.FAULT,
                place=place,
                message="the movements draw more than their own supply may give",
                measured=f"{moving_ma:.0f} mA",
                wanted=f"at most {limit_ma:.0f} mA",
                source="arithmetic",
                remedy=f"a certified 5 V supply of at least {moving_ma:.0f} mA. {LOCAL_RULES}",
            )
        )
    return found


def _check_strings(supply: Supply) -> list[Finding]:
    found = []
    for i, string in enumerate(supply.led_strings):
        place = f"supply.led_strings.{i}"
        needs_v = string.leds * string.forward_v
        if needs_v >= supply.volts:
            found.append(
                Finding(
                    rule="forward-voltage-above-supply",
                    severity=Severity.FAULT,
                    place=f"{place}.forward_v",
                    message=f"the LEDs of {string.name!r} need all the supply's voltage and stay dark",
                    measured=f"{needs_v:g} V",
                    wanted=f"less than {supply.volts:g} V",
                    source="R = (V - V_F) / I",
                    remedy=_fewer_leds(string, supply.volts),
                )
            )
        elif string.resistor_w(highest_v(supply)) > RATED_W / 2.0:
            watts = string.resistor_w(highest_v(supply))
            found.append(
                Finding(
                    rule="resistor-runs-hot",
                    severity=Severity.CAUTION,
                    place=f"{place}.resistor_ohm",
                    message=f"the resistor of {string.name!r} carries more than half its usual rating",
                    measured=f"{watts:.3f} W",
                    wanted=f"at most {RATED_W / 2.0:g} W",
                    source=_PRACTICE,
                    remedy=f"a resistor rated {max(0.5, 2.0 * watts):.1f} W, or a larger resistance",
                )
            )
    return found


def _fewer_leds(string: LedString, volts: float) -> str:
    fits = int((volts - 0.5) / string.forward_v)
    if fits >= 1:
        return f"{fits} LED{'s' * (fits > 1)} in series instead of {string.leds}, or a higher supply"
    return f"a supply of at least {string.leds * string.forward_v + 1.0:g} V"


def _check_pins(supply: Supply, movements: Sequence[Draws]) -> list[Finding]:
    if supply.controller is Controller.OTHER:
        return []
    limits = LIMITS[supply.controller]
    loads = [
        PinLoad(name=string.name, pin=string.pin, current_ma=string.peak_ma(supply.volts), sinks=string.sinks)
        for string in supply.led_strings
        if string.pin
    ]
    found = [_pin_finding(over, limits.source) for over in overloads(tuple(loads), limits)]
    coils_ma = [(m.name, m.pin_ma) for m in movements if m.pin_ma > 0.0]
    found += [
        _pin_finding(
            Overload(
                what="pin" if ma > limits.most_ma else "tested",
                where="each coil pin",
                found_ma=ma,
                limit_ma=limits.most_ma if ma > limits.most_ma else limits.tested_ma,
                names=(name,),
            ),
            limits.source,
        )
        for name, ma in coils_ma
        if ma > limits.tested_ma
    ]
    total_ma = sum(2.0 * ma for _, ma in coils_ma) + sum(load.current_ma for load in loads)
    if coils_ma and total_ma > limits.total_ma:
        names = tuple(name for name, _ in coils_ma) + tuple(load.name for load in loads)
        found.append(
            _pin_finding(
                Overload(
                    what="total",
                    where="supply pins",
                    found_ma=total_ma,
                    limit_ma=limits.total_ma,
                    names=names,
                ),
                limits.source,
            )
        )
    return found


def _pin_finding(over: Overload, source: str) -> Finding:
    what = {
        "pin": "a pin carries more than its absolute maximum",
        "tested": "a pin carries more than the current its output voltage is promised for",
        "group": "pins that share a limit carry more than it together",
        "total": "all pins together carry more than the absolute maximum of the supply or ground pins",
    }[over.what]
    return Finding(
        rule=f"pin-{over.what}-current",
        severity=Severity.FAULT if over.what in ("pin", "total") else Severity.CAUTION,
        place="supply.controller",
        message=f"{what}: {over.where} with {', '.join(dict.fromkeys(over.names))}",
        measured=f"{over.found_ma:.1f} mA",
        wanted=f"at most {over.limit_ma:.0f} mA",
        source=source,
        remedy="a transistor or a driver between pin and load, or spread the loads over other ports",
    )


def _check_wires(supply: Supply, movements: Sequence[Draws], states: tuple[Draw, ...]) -> list[Finding]:
    found = []
    for i, wire in enumerate(supply.wires):
        current_ma = max(d.worst_ma for d in states) if wire.current_ma is None else wire.current_ma
        far_v = supply.volts - wire.drop_v(current_ma)
        if far_v >= wire.least_v:
            continue
        allowed_v = supply.volts - wire.least_v
        awg = thinnest_awg(wire.length_m, current_ma, allowed_v) if allowed_v > 0 else None
        found.append(
            Finding(
                rule="wire-drop",
                severity=Severity.FAULT if far_v < 0.8 * wire.least_v else Severity.CAUTION,
                place=f"supply.wires.{i}",
                message=f"at the far end of {wire.name!r} too little voltage is left",
                measured=f"{far_v:.2f} V at {current_ma:.0f} mA",
                wanted=f"at least {wire.least_v:g} V",
                source="copper at 20 °C, there and back",
                remedy=(
                    f"{awg} AWG or thicker over the same {wire.length_m:g} m"
                    if awg is not None
                    else "a shorter way, or a supply near the load"
                ),
            )
        )
    return found
