"""say what a panel draws from its source, state by state.

Typical and worst case beside the source's limit, with the meter's readings where there are any, the resistor
of every LED string, the voltage at the end of every wire, and the findings of the supply. With --plot, the
same as a picture. With --take-over, the figures that the meter corrects are stored in the panel. Exit code 1
when a finding is a fault.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from gaugecore.errors import InputError
from gaugecore.files import write_outputs
from gaugecore.findings import Severity, worst
from gaugecore.panel.document import Panel
from gaugecore.panel.from_meter import panel_place, taken_over
from gaugecore.panel.panel_file import PanelFile, open_panel_file, save_over
from gaugecore.supply.budget import check_supply
from gaugecore.supply.caution import CAUTION
from gaugecore.supply.refit import Refit
from gaugecore.supply.states import inrush_ma
from needlewright.cli.all_or_none import all_or_none
from needlewright.cli.check import as_json, as_text
from needlewright.cli.outcome import Exit, Outcome
from needlewright.cli.picture import picture_format
from needlewright.cli.supply_words import budget_of, refit_json, supply_json, supply_lines


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")
    parser.add_argument(
        "--led-ma",
        type=float,
        metavar="MA",
        help="choose resistors that give every LED this current (default: the values next to its own)",
    )
    parser.add_argument("--plot", type=Path, metavar="FILE", help="picture of it, .png, .pdf or .svg")
    parser.add_argument("--force", action="store_true", help="replace a picture that is there already")
    parser.add_argument(
        "--take-over", action="store_true", help="store the figures that the meter corrects in the panel"
    )


def run(args: Namespace) -> Outcome:
    """Compute the supply, draw it, take the meter's figures over."""
    file_format = picture_format(args.plot) if args.plot else None
    if args.led_ma is not None and not 0.001 <= args.led_ma <= 10_000.0:
        raise InputError(
            "an LED needs a current", where="--led-ma", found=args.led_ma, accepted="0.001 to 10000 mA"
        )
    opened = open_panel_file(args.panel)
    panel = opened.panel
    movements = [instrument.movement for instrument in panel.instruments]
    budget = budget_of(panel, led_ma=args.led_ma)
    found = check_supply(panel.supply, movements)
    picture = b""
    if file_format:
        from gaugecore.supply.plot import plot_supply

        picture = plot_supply(panel.supply, movements, file_format=file_format)
    files, taken = _write(args, opened, picture, budget.fits)
    text = [
        *supply_lines(panel, budget),
        *_said(panel, budget.fits, asked=args.take_over),
        as_text(found),
        *(f"wrote {path}" for path in files),
        "",
        CAUTION,
    ]
    return Outcome(
        report={
            "panel": panel.title,
            "source": panel.supply.source.value,
            "limit_ma": panel.supply.source_limit_ma,
            **supply_json(panel, budget),
            "starting_ma": inrush_ma(movements),
            "refit": [refit_json(panel, fit) for fit in budget.fits],
            "taken_over": taken,
            "findings": [as_json(finding) for finding in found],
            "caution": CAUTION,
            "files": [str(path) for path in files],
        },
        text="\n".join(text),
        exit_code=Exit.FAULT if worst(found) is Severity.FAULT else Exit.DONE,
    )


def _write(
    args: Namespace, opened: PanelFile, picture: bytes, fits: tuple[Refit, ...]
) -> tuple[list[Path], bool]:
    """Write the picture and store the figures, both or neither; return the files and whether it stored."""
    changed = taken_over(opened.panel, fits) if args.take_over and fits else None
    files: list[Path] = []
    with all_or_none(*([args.plot] if args.plot else [])):
        if args.plot:
            files = write_outputs(args.plot.parent, {args.plot.name: picture}, force=args.force)
        if changed is not None:
            save_over(opened, changed)
    return files, changed is not None


def _said(panel: Panel, fits: tuple[Refit, ...], *, asked: bool) -> list[str]:
    """Return the corrected figures, and what became of them."""
    lines = [
        f"refit {panel_place(panel, fit.place)}: {fit.before:.3g} -> {fit.after:.3g} {fit.unit}"
        for fit in fits
    ]
    if fits:
        return [*lines, "stored in the panel" if asked else "store these in the panel with --take-over"]
    return ["the meter corrects nothing: nothing was stored"] if asked else []
