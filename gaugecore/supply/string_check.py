"""The check of LED strings and wires."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.findings import Finding, Severity
from gaugecore.supply.caution import LOCAL_RULES
from gaugecore.supply.facts import wire_facts
from gaugecore.supply.leds import RATED_W, LedString
from gaugecore.supply.source import Supply
from gaugecore.supply.states import Draws, highest_v
from gaugecore.supply.wires import thinnest_awg

#: The least that a series resistor needs to hold a current steady (common practice, no source).
_LEFT_FOR_RESISTOR_V = 0.5


def check_strings(supply: Supply) -> list[Finding]:
    """Return the findings of the LED strings."""
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
                    remedy=_lit(string, supply.volts),
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
                    source="common practice, no source",
                    remedy=f"a resistor rated {max(0.5, 2.0 * watts):.1f} W, or a larger resistance",
                )
            )
    return found


def _lit(string: LedString, volts: float) -> str:
    """Return how a string gets light; the supply itself stays, since everything else hangs on it."""
    most_v = volts - _LEFT_FOR_RESISTOR_V
    fits = int(most_v / string.forward_v)
    if fits >= 1:
        first = f"{fits} LED{'s' * (fits > 1)} in series instead of {string.leds}"
    elif most_v > 0.0:
        first = f"another lamp, of at most {most_v:g} V"
    else:
        first = "a lamp that needs less"
    own_v = string.leds * string.forward_v + 2.0 * _LEFT_FOR_RESISTOR_V
    return (
        f"{first}; or a supply of at least {own_v:g} V for this string alone, with common ground: board and "
        f"movements stay on {volts:g} V. {LOCAL_RULES}"
    )


def check_wires(supply: Supply, movements: Sequence[Draws]) -> list[Finding]:
    """Return the findings of the wires: the voltage at their far ends."""
    found = []
    for i, (wire, fact) in enumerate(zip(supply.wires, wire_facts(supply, movements), strict=True)):
        current_ma, far_v = fact.current_ma, fact.far_v
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
