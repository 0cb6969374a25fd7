"""The check of what feeds the movements: start-up, and a supply of their own."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.findings import Finding, Severity
from gaugecore.supply.caution import LOCAL_RULES
from gaugecore.supply.meter import State
from gaugecore.supply.source import Supply
from gaugecore.supply.states import Draw, Draws, draw_in, inrush_ma

_PRACTICE = "common practice, no source"
#: Above its voltage by more than this a movement may be damaged; below by more than this it is slow and weak.
_TOO_HIGH, _TOO_LOW = 1.25, 0.85


def check_movements_supply(
    supply: Supply, movements: Sequence[Draws], states: tuple[Draw, ...]
) -> list[Finding]:
    """Return the findings of what feeds the movements."""
    if not movements:
        return []
    found = _check_start(supply, movements)
    if not supply.movements_apart:
        found += _check_voltage(supply, movements)
    else:
        found += _check_apart(supply, states)
    return found


def _check_start(supply: Supply, movements: Sequence[Draws]) -> list[Finding]:
    apart = supply.movements_apart
    limit_ma = supply.movements_source_limit_ma if apart else supply.source_limit_ma
    rest_ma = 0.0 if apart else draw_in(supply, (), State.LAMP_TEST).worst_ma
    start_ma = inrush_ma(movements) + rest_ma
    # one that starts alone draws what it draws when held fast, and that is looked at there
    if start_ma <= limit_ma or len(movements) < 2:
        return []
    return [
        Finding(
            rule="starting-current",
            severity=Severity.CAUTION,
            place="supply.movements_limit_ma" if apart else "supply.movements_apart",
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
    ]


def _check_voltage(supply: Supply, movements: Sequence[Draws]) -> list[Finding]:
    found = []
    for movement in movements:
        share = supply.volts / movement.supply_v
        # a driver makes its own coil current of what it gets
        if _TOO_LOW <= share <= _TOO_HIGH or (movement.draws_by_coils and movement.pin_ma == 0.0):
            continue
        high = share > _TOO_HIGH
        found.append(
            Finding(
                rule="movement-voltage",
                severity=Severity.FAULT if high else Severity.CAUTION,
                place="supply.volts",
                message=(
                    f"the source's voltage may destroy {movement.name!r}"
                    if high
                    else f"the source's voltage makes {movement.name!r} slower and weaker than its figures"
                ),
                measured=f"{supply.volts:g} V",
                wanted=f"about {movement.supply_v:g} V",
                source=_PRACTICE,
                remedy=f"a supply of {movement.supply_v:g} V for it, with common ground. {LOCAL_RULES}",
            )
        )
    return found


def _check_apart(supply: Supply, states: tuple[Draw, ...]) -> list[Finding]:
    limit_ma = supply.movements_source_limit_ma
    hungriest = max(states, key=lambda draw: draw.movements_typical_ma)
    worst = max(states, key=lambda draw: draw.movements_worst_ma)
    typical_ma, worst_ma = hungriest.movements_typical_ma, worst.movements_worst_ma
    found = [
        Finding(
            rule="separate-supply",
            severity=Severity.NOTE,
            place="supply.movements_apart",
            message="the movements' own supply works only with its ground joined to the board's ground",
            measured=(
                f"{typical_ma:.0f} mA typically in the hungriest state, {hungriest.state.value}; "
                f"{worst_ma:.0f} mA in the worst case, {worst.state.value}"
            ),
            wanted=f"at most {limit_ma:.0f} mA",
            source=_PRACTICE,
            remedy=(
                "join the grounds at one point, keep the two 5 V lines apart, and a capacitor of some "
                f"hundred µF at the movements. {LOCAL_RULES}"
            ),
        )
    ]
    if worst_ma > limit_ma:
        typically = typical_ma > limit_ma
        found.append(
            Finding(
                rule="movements-supply-overloaded",
                severity=Severity.FAULT if typically else Severity.CAUTION,
                place="supply.movements_limit_ma",
                message=(
                    "the movements draw more than their own supply may give"
                    if typically
                    else "in the worst case the movements draw more than their own supply may give"
                ),
                measured=f"{typical_ma if typically else worst_ma:.0f} mA",
                wanted=f"at most {limit_ma:.0f} mA",
                source="arithmetic",
                remedy=f"a certified 5 V supply of at least {worst_ma:.0f} mA. {LOCAL_RULES}",
            )
        )
    return found
