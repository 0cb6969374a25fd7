"""The calibration bench: how far needles end up from where they should, against rivals and oracles.

``python -m tests.bench calibration`` takes some minutes; NEEDLEWRIGHT_BENCH_DRIVES sets the drives a cell.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import partial

import numpy as np
from rich.console import Console
from rich.progress import Progress
from rich.table import Table

from tests.bench.calibration_cells import EACH, FIT, SINGLE, Cell, Result, measure
from tests.bench.rivals import RIVALS

_DRIVES = int(os.environ.get("NEEDLEWRIGHT_BENCH_DRIVES", "200"))
#: The median of R1 over 200 drives is good to 0.05 only: what the tightest bounds are set on takes more.
_MANY_TIMES, _MANY_FROM = 4, 2000
_STRONG, _PLAIN = "PCHIP, screened, offset", "two-point line"

CELLS = (
    Cell(n=11),
    Cell(n=21),
    Cell(n=31),
    Cell(n=21, slip_rate=0.0),
    Cell(n=21, step_deg=0.5),
    Cell(n=11, staggered=True),
    Cell(n=21, staggered=True),
    Cell(n=11, harsh=True),
    Cell(n=21, harsh=True),
    Cell(n=31, harsh=True),
    Cell(kind="stepper", n=21),
    Cell(kind="stepper", n=31),
    Cell(kind="stepper", n=31, slip_rate=0.0),
    Cell(kind="stepper", n=31, harsh=True),
    Cell(kind="stepper", n=31, lose_steps=True),
)
#: Cells of which every rival is shown.
_SHOWN = {
    "servo 11": Cell(n=11),
    "servo 21": Cell(n=21),
    "servo 31": Cell(n=31),
    "11 staggered": Cell(n=11, staggered=True),
    "21 staggered": Cell(n=21, staggered=True),
    "21 harsh": Cell(n=21, harsh=True),
    "stepper 31": Cell(kind="stepper", n=31),
}


#: Cells that are measured on many drives.
_MANY = (Cell(n=11), Cell(n=21), Cell(n=31))


@dataclass(frozen=True, slots=True)
class Target:
    """A bound the fit is held to."""

    what: str
    cell: Cell
    low: float
    high: float


def _targets() -> list[Target]:
    by_n = {
        11: (1.30, 3.0, 0.92, 0.40, 0.93, 0.92, 0.27),
        21: (0.85, 1.45, 0.84, 0.25, 0.98, 0.97, 0.19),
        31: (0.75, 1.20, 0.78, 0.21, 0.98, 0.98, 0.16),
    }
    out: list[Target] = []
    for n, (median, tail, strong, plain, precision, recall, reversal) in by_n.items():
        cell = Cell(n=n)
        out += [
            Target("median R1", cell, 0, median),
            Target("90th percentile of R1", cell, 0, tail),
            Target("against screened PCHIP", cell, 0, strong),
            Target("against two-point line", cell, 0, plain),
            Target("slip precision", cell, precision, 1), Target("slip recall", cell, recall, 1),
            Target("lost motion RMS", cell, 0, reversal), Target("coverage", cell, 0.93, 0.97),
        ]  # fmt: skip
    return [
        *out,
        Target("median R1", Cell(n=11, staggered=True), 0, 1.1),
        Target("median R1", Cell(n=21, harsh=True), 0, 0.75),
        Target("coverage", Cell(n=21, harsh=True), 0.92, 1),
        Target("median p95", Cell(kind="stepper", n=31), 0, 0.60),
        Target("CPU seconds a fit", Cell(n=31), 0, 0.1),
    ]


def run() -> None:
    """Measure all cells and print the tables."""
    console = Console(width=150)
    with Progress(
        console=Console(stderr=True), transient=True, disable=not Console(stderr=True).is_terminal
    ) as bar:
        task = bar.add_task("calibration", total=sum(_drives(cell) for cell in CELLS))
        step = partial(bar.advance, task)
        results = {
            cell: measure(cell, _drives(cell), first=_MANY_FROM if cell in _MANY else 1000, on_drive=step)
            for cell in CELLS
        }
    console.print(
        f"[bold]Calibration[/], {_DRIVES} simulated drives a cell, {_MANY_TIMES * _DRIVES} for servos swept "
        "evenly; needle error at 241 targets, both sides"
    )
    console.print(_by_method(results))
    console.print(_by_cell(results))
    console.print(_against_targets(results))


def _drives(cell: Cell) -> int:
    return _DRIVES * _MANY_TIMES if cell in _MANY else _DRIVES


def _by_method(results: dict[Cell, Result]) -> Table:
    table = Table(title="p95 of the needle error, median over drives in degrees; R1 median / 90th percentile")
    table.add_column("map", no_wrap=True)
    for heading in _SHOWN:
        table.add_column(heading, justify="right", no_wrap=True)
    for method in (*RIVALS, FIT, SINGLE, EACH):
        cells = []
        for cell in _SHOWN.values():
            r1 = results[cell].r1(method)
            middle = np.median(results[cell].p95_deg[method])
            cells.append(f"{middle:.2f} {np.median(r1):.2f}/{np.percentile(r1, 90):.2f}")
        table.add_row(method, *cells, style="bold" if method == FIT else "")
    return table


def _by_cell(results: dict[Cell, Result]) -> Table:
    table = Table(title="the fit, cell by cell")
    columns = ("cell", "p95", "R1", "R1 90 %", "vs PCHIP", "vs line", "precision", "recall", "in doubt",
               "lost motion", "coverage", "CPU s a fit")  # fmt: skip
    for name in columns:
        table.add_column(name, justify="left" if name == "cell" else "right")
    for cell, result in results.items():
        if cell.lose_steps:
            continue  # half an arc is left: how far the needle is off over all of it says nothing
        table.add_row(
            cell.name, f"{np.median(result.p95_deg[FIT]):.2f}°", f"{np.median(result.r1()):.2f}",
            f"{np.percentile(result.r1(), 90):.2f}", f"{result.against(_STRONG):.2f}",
            f"{result.against(_PLAIN):.2f}",
            f"{result.precision:.3f}", f"{result.recall:.3f}",
            f"{result.in_doubt} of {result.hits + result.misses}", f"{result.reversal_rms_deg:.3f}°",
            f"{np.mean(result.covered):.3f}", f"{np.mean(result.seconds):.3f}",
        )  # fmt: skip
    lost = results[Cell(kind="stepper", n=31, lose_steps=True)]
    refused = sum(result.refused for result in results.values())
    table.caption = (
        f"lost steps named in {lost.losses_named} of {_DRIVES} sittings; {refused} sittings refused in all"
    )
    return table


def _against_targets(results: dict[Cell, Result]) -> Table:
    table = Table(title="against the targets")
    for name in ("cell", "what", "measured", "wanted", ""):
        table.add_column(name)
    for target in _targets():
        value = figure(results[target.cell], target.what)
        met = target.low <= value <= target.high
        wanted = f"at most {target.high:g}" if target.low == 0 else f"{target.low:g} to {target.high:g}"
        table.add_row(
            target.cell.name, target.what, f"{value:.3f}", wanted, "met" if met else "[bold red]missed[/]"
        )
    return table


def figure(result: Result, what: str) -> float:
    """Return a figure of a result by its name in the targets."""
    figures = {
        "median R1": lambda: np.median(result.r1()),
        "90th percentile of R1": lambda: np.percentile(result.r1(), 90),
        "against screened PCHIP": lambda: result.against(_STRONG),
        "against two-point line": lambda: result.against(_PLAIN),
        "slip precision": lambda: result.precision,
        "slip recall": lambda: result.recall,
        "lost motion RMS": lambda: result.reversal_rms_deg,
        "coverage": lambda: np.mean(result.covered),
        "median p95": lambda: np.median(result.p95_deg[FIT]),
        "CPU seconds a fit": lambda: np.mean(result.seconds),
    }
    return float(figures[what]())


if __name__ == "__main__":
    run()
