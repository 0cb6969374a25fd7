"""What the verb `supply` has to say: the budget as lines for people and as JSON values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from gaugecore.panel.document import Panel
from gaugecore.panel.from_meter import panel_place
from gaugecore.supply.compare import Compared, compare
from gaugecore.supply.facts import StringFacts, WireFacts, string_facts, wire_facts
from gaugecore.supply.refit import Refit, refit
from gaugecore.supply.states import Draw, draws


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """Everything computed of a supply but its findings."""

    states: tuple[Draw, ...]
    strings: tuple[StringFacts, ...]
    wires: tuple[WireFacts, ...]
    rows: tuple[Compared, ...]
    fits: tuple[Refit, ...]


def budget_of(panel: Panel, *, led_ma: float | None) -> Budget:
    """Return the budget of a panel; resistors are chosen for a current, else beside each string's own."""
    supply, movements = panel.supply, [instrument.movement for instrument in panel.instruments]
    return Budget(
        states=draws(supply, movements),
        strings=string_facts(supply, wanted_ma=led_ma),
        wires=wire_facts(supply, movements),
        rows=compare(supply, movements),
        fits=refit(supply, movements),
    )


def supply_json(panel: Panel, budget: Budget) -> dict[str, Any]:
    """Return states, strings, wires and meter readings as JSON values."""
    supply = panel.supply
    return {
        "movements_apart": supply.movements_apart,
        "movements_limit_ma": supply.movements_source_limit_ma if supply.movements_apart else None,
        "states": [_state_json(draw) for draw in budget.states],
        "strings": [_string_json(facts) for facts in budget.strings],
        "wires": [
            {
                "name": wire.name,
                "current_ma": wire.current_ma,
                "drop_v": wire.drop_v,
                "far_v": wire.far_v,
                "least_v": wire.least_v,
            }
            for wire in budget.wires
        ],
        "measured": [
            {
                "state": row.state.value,
                "only": row.only,
                "computed_ma": row.computed_ma,
                "measured_ma": row.measured_ma,
                "suspect": row.suspect,
                "as_if": row.as_if,
            }
            for row in budget.rows
        ],
    }


def _state_json(draw: Draw) -> dict[str, Any]:
    return {
        "state": draw.state.value,
        "typical_ma": draw.typical_ma,
        "worst_ma": draw.worst_ma,
        "movements_typical_ma": draw.movements_typical_ma,
        "movements_worst_ma": draw.movements_worst_ma,
        "loads": [
            {"name": share.name, "typical_ma": share.typical_ma, "worst_ma": share.worst_ma}
            for share in draw.shares
        ],
    }


def _string_json(facts: StringFacts) -> dict[str, Any]:
    return {
        "name": facts.string.name,
        "resistor_ohm": facts.string.resistor_ohm,
        "each_ma": facts.each_ma,
        "resistor_w": facts.resistor_w,
        "duty": facts.string.duty,
        "mean_ma": facts.mean_ma,
        "wanted_ma": facts.wanted_ma,
        "resistors": {
            series.name: {
                "ohm": resistor.chosen_ohm,
                "exact_ohm": resistor.exact_ohm,
                "current_ma": resistor.current_ma,
                "power_w": resistor.power_w,
            }
            for series, resistor in facts.choices
        },
    }


def refit_json(panel: Panel, fit: Refit) -> dict[str, Any]:
    """Return a corrected figure as JSON values."""
    return {
        "place": panel_place(panel, fit.place),
        "name": fit.name,
        "before": fit.before,
        "after": fit.after,
        "unit": fit.unit,
    }


def supply_lines(panel: Panel, budget: Budget) -> list[str]:
    """Return the budget for people."""
    supply = panel.supply
    lines = [
        f"{panel.title}: {supply.source.value}, {supply.volts:g} V, at most {supply.source_limit_ma:.0f} mA"
    ]
    if supply.movements_apart:
        lines.append(f"movements on their own supply, at most {supply.movements_source_limit_ma:.0f} mA")
    lines += ["", *_state_lines(budget), ""]
    for facts in budget.strings:
        lines += _string_lines(facts)
    for wire in budget.wires:
        enough = "" if wire.far_v >= wire.least_v else f", and {wire.least_v:g} V are wanted"
        lines.append(
            f"wire {wire.name}: {wire.far_v:.2f} V at the far end at {wire.current_ma:.0f} mA, "
            f"{wire.drop_v:.2f} V lost{enough}"
        )
    if budget.strings or budget.wires:
        lines.append("")
    lines += [
        f"{row.only} alone: measured {row.measured_ma:.0f} mA, computed {row.computed_ma:.0f} mA"
        for row in budget.rows
        if row.only
    ]
    return lines


def _state_lines(budget: Budget) -> list[str]:
    measured = {row.state: row.measured_ma for row in budget.rows if not row.only}
    lines = [
        f"{'':<47}{'movements':>24}",
        f"{'state':<14}{'typical':>10}{'worst case':>12}{'measured':>11}{'typical':>12}{'worst case':>12}",
    ]
    for draw in budget.states:
        said = f"{measured[draw.state]:.0f} mA" if draw.state in measured else "-"
        lines.append(
            f"{draw.state.value:<14}{draw.typical_ma:>7.0f} mA{draw.worst_ma:>9.0f} mA{said:>11}"
            f"{draw.movements_typical_ma:>9.0f} mA{draw.movements_worst_ma:>9.0f} mA"
        )
    return lines


def _string_lines(facts: StringFacts) -> list[str]:
    string = facts.string
    leds = f"{string.leds} LED{'s' * (string.leds > 1)} of {string.forward_v:g} V"
    if not facts.choices:
        return [f"string {string.name}: {leds} {'stays' if string.leds == 1 else 'stay'} dark on this supply"]
    dimmed = f", on {string.duty * 100.0:.3g} % of the time" if string.duty < 1.0 else ""
    values = ", ".join(
        f"{series.name} {chosen.chosen_ohm:g} Ω ({chosen.current_ma:.1f} mA, {_milliwatts(chosen.power_w)})"
        for series, chosen in facts.choices
    )
    same = facts.wanted_ma == facts.each_ma
    return [
        f"string {string.name}: {leds} and {string.resistor_ohm:g} Ω carry {facts.each_ma:.1f} mA, "
        f"{_milliwatts(facts.resistor_w)} in the resistor; {string.count} of them{dimmed}: mean "
        f"{facts.mean_ma:.1f} mA",
        f"    {'next values' if same else f'for {facts.wanted_ma:.1f} mA'}: {values}",
    ]


def _milliwatts(watts: float) -> str:
    return f"{watts * 1000.0:.0f} mW" if watts >= 0.01 else f"{watts * 1000.0:.2g} mW"
