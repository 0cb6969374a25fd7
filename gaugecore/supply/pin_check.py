"""The check of the microcontroller's pins."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.findings import Finding, Severity
from gaugecore.supply.pins import LIMITS, Controller, Overload, PinLimits, PinLoad, overloads
from gaugecore.supply.source import Supply
from gaugecore.supply.states import Draws

_MESSAGES = {
    "pin": "a pin carries more than its absolute maximum",
    "tested": "a pin carries more than the current its output voltage is promised for",
    "group": "pins that share a limit carry more than it together",
    "total": "all pins together carry more than the absolute maximum of the supply or ground pins",
}


def check_pins(supply: Supply, movements: Sequence[Draws]) -> list[Finding]:
    """Return the findings of the pins, with everything on at once."""
    if supply.controller is Controller.OTHER:
        return []
    limits = LIMITS[supply.controller]
    loads = tuple(
        PinLoad(name=string.name, pin=string.pin, current_ma=string.peak_ma(supply.volts), sinks=string.sinks)
        for string in supply.led_strings
        if string.pin
    )
    over = [*overloads(loads, limits), *_of_coils(loads, movements, limits)]
    return [_finding(passed, limits.source) for passed in over]


def _of_coils(loads: tuple[PinLoad, ...], movements: Sequence[Draws], limits: PinLimits) -> list[Overload]:
    """Return what coils on pins pass; each movement has two coils on at a time."""
    coils_ma = [(movement.name, movement.pin_ma) for movement in movements if movement.pin_ma > 0.0]
    found = [
        Overload(
            what="pin" if ma > limits.most_ma else "tested",
            where="each coil pin",
            found_ma=ma,
            limit_ma=limits.most_ma if ma > limits.most_ma else limits.tested_ma,
            names=(name,),
        )
        for name, ma in coils_ma
        if ma > limits.tested_ma
    ]
    total_ma = sum(2.0 * ma for _, ma in coils_ma) + sum(load.current_ma for load in loads)
    if coils_ma and total_ma > limits.total_ma:
        names = tuple(name for name, _ in coils_ma) + tuple(load.name for load in loads)
        found.append(
            Overload(
                what="total",
                where="supply pins",
                found_ma=total_ma,
                limit_ma=limits.total_ma,
                names=names,
            )
        )
    return found


def _finding(over: Overload, source: str) -> Finding:
    return Finding(
        rule=f"pin-{over.what}-current",
        severity=Severity.FAULT if over.what in ("pin", "total") else Severity.CAUTION,
        place="supply.controller",
        message=f"{_MESSAGES[over.what]}: {over.where} with {', '.join(dict.fromkeys(over.names))}",
        measured=f"{over.found_ma:.1f} mA",
        wanted=f"at most {over.limit_ma:.0f} mA",
        source=source,
        remedy="a transistor or a driver between pin and load, or spread the loads over other ports",
    )
