"""The check of the supply: source, movements' supply, pins, LED strings, wires."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.findings import Finding, Severity
from gaugecore.supply.caution import LOCAL_RULES
from gaugecore.supply.measured_check import check_measured
from gaugecore.supply.meter import State
from gaugecore.supply.movement_supply_check import check_movements_supply
from gaugecore.supply.pin_check import check_pins
from gaugecore.supply.source import UNCONFIGURED_MA, Supply
from gaugecore.supply.states import Draw, Draws, draws
from gaugecore.supply.string_check import check_strings, check_wires

_USB = "USB power articles (unit loads, BC 1.2, USB-C advertised); the standards themselves not seen"


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
        *check_movements_supply(supply, movements, states),
        *check_strings(supply),
        *check_pins(supply, movements),
        *check_wires(supply, movements),
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
        found.append(
            _overload(
                supply, stalled, Severity.CAUTION, "when a needle is held fast, and for a moment as it starts"
            )
        )
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
