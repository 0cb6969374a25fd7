"""say what a panel draws from its source, state by state.

Typical and worst case beside the source's limit, with the meter's readings where there are any, and the
findings of the supply. With --plot, the same as a picture. With --take-over, the figures that the meter
corrects are stored in the panel. Exit code 1 when a finding is a fault.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import Any

from gaugecore.files import write_outputs
from gaugecore.findings import Finding, Severity, worst
from gaugecore.panel.document import Panel
from gaugecore.panel.from_meter import panel_place, taken_over
from gaugecore.panel.panel_file import open_panel_file, save_over
from gaugecore.supply.budget import check_supply
from gaugecore.supply.caution import CAUTION
from gaugecore.supply.compare import Compared, compare
from gaugecore.supply.refit import Refit, refit
from gaugecore.supply.states import Draw, draws, inrush_ma
from needlewright.cli.check import as_json, as_text
from needlewright.cli.outcome import Exit, Outcome
from needlewright.cli.picture import picture_format


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")
    parser.add_argument("--plot", type=Path, metavar="FILE", help="picture of it, .png, .pdf or .svg")
    parser.add_argument("--force", action="store_true", help="replace a picture that is there already")
    parser.add_argument(
        "--take-over", action="store_true", help="store the figures that the meter corrects in the panel"
    )


def run(args: Namespace) -> Outcome:
    """Compute the supply, draw it, take the meter's figures over."""
    file_format = picture_format(args.plot) if args.plot else None
    opened = open_panel_file(args.panel)
    panel = opened.panel
    movements = [instrument.movement for instrument in panel.instruments]
    states = draws(panel.supply, movements)
    found = check_supply(panel.supply, movements)
    rows, fits = compare(panel.supply, movements), refit(panel.supply, movements)
    files: list[Path] = []
    if args.plot and file_format:
        from gaugecore.supply.plot import plot_supply

        picture = plot_supply(panel.supply, movements, file_format=file_format)
        files = write_outputs(args.plot.parent, {args.plot.name: picture}, force=args.force)
    if args.take_over and fits:
        save_over(opened, taken_over(panel, fits))
    return Outcome(
        report={
            "panel": panel.title,
            "source": panel.supply.source.value,
            "limit_ma": panel.supply.source_limit_ma,
            "states": [_state_json(draw) for draw in states],
            "starting_ma": inrush_ma(movements),
            "measured": [_row_json(row) for row in rows],
            "refit": [_refit_json(panel, fit) for fit in fits],
            "taken_over": bool(args.take_over and fits),
            "findings": [as_json(finding) for finding in found],
            "caution": CAUTION,
            "files": [str(path) for path in files],
        },
        text=_text(panel, states, rows, fits, found, files, taken=args.take_over),
        exit_code=Exit.FAULT if worst(found) is Severity.FAULT else Exit.DONE,
    )


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


def _row_json(row: Compared) -> dict[str, Any]:
    return {
        "state": row.state.value,
        "only": row.only,
        "computed_ma": row.computed_ma,
        "measured_ma": row.measured_ma,
        "suspect": row.suspect,
    }


def _refit_json(panel: Panel, fit: Refit) -> dict[str, Any]:
    return {
        "place": panel_place(panel, fit.place),
        "name": fit.name,
        "before": fit.before,
        "after": fit.after,
        "unit": fit.unit,
    }


def _text(
    panel: Panel,
    states: tuple[Draw, ...],
    rows: tuple[Compared, ...],
    fits: tuple[Refit, ...],
    found: list[Finding],
    files: list[Path],
    *,
    taken: bool,
) -> str:
    supply = panel.supply
    measured = {row.state: row.measured_ma for row in rows if not row.only}
    lines = [
        f"{panel.title}: {supply.source.value}, {supply.volts:g} V, at most {supply.source_limit_ma:.0f} mA"
    ]
    if supply.movements_apart:
        lines.append(f"movements on their own supply, at most {supply.movements_source_limit_ma:.0f} mA")
    lines += ["", f"{'state':<14}{'typical':>10}{'worst case':>12}{'measured':>11}{'movements':>12}"]
    for draw in states:
        said = f"{measured[draw.state]:.0f} mA" if draw.state in measured else "-"
        lines.append(
            f"{draw.state.value:<14}{draw.typical_ma:>7.0f} mA{draw.worst_ma:>9.0f} mA{said:>11}"
            f"{draw.movements_typical_ma:>9.0f} mA"
        )
    lines.append("")
    for row in rows:
        if row.only:
            lines.append(
                f"{row.only} alone: measured {row.measured_ma:.0f} mA, computed {row.computed_ma:.0f} mA"
            )
    lines += [
        f"refit {panel_place(panel, fit.place)}: {fit.before:.3g} -> {fit.after:.3g} {fit.unit}"
        for fit in fits
    ]
    if fits:
        lines.append("stored in the panel" if taken else "store these in the panel with --take-over")
    lines += [as_text(found), *(f"wrote {path}" for path in files), "", CAUTION]
    return "\n".join(lines)
