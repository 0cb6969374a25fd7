"""do the whole job on the samples, with no hardware.

Takes readings of every sample dial on a virtual board, fits them, makes and proves the tables, draws the
plates and writes the records, all into one folder. The servos and their faults are simulated; the last one,
whose readings were published, is real.
"""

from __future__ import annotations

import io
import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from needlewright.cli.outcome import Outcome
from needlewright.cli.words import counted

if TYPE_CHECKING:
    from needlewright.demo import Demo


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument(
        "--out",
        type=Path,
        default=Path("out/demo"),
        metavar="DIR",
        help="where the results go (default out/demo); an earlier demo there is replaced",
    )


def run(args: Namespace) -> Outcome:
    """Run the demo."""
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    from needlewright.demo import report, run_demo

    columns = (SpinnerColumn("line"), TextColumn("{task.description}"), TimeElapsedColumn())
    console = Console(stderr=True)
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as progress:
        task = progress.add_task("starting", total=None)
        demo = run_demo(args.out, lambda said: progress.update(task, description=said))
    return Outcome(report={"out": str(args.out), **report(demo)}, text=_summary(demo, report(demo)))


def _summary(demo: Demo, said: dict[str, Any]) -> str:
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table

    table = Table(
        box=SIMPLE_HEAD, title="Needle error against the hidden truth, both directions", title_justify="left"
    )
    table.add_column("instrument")
    for head in ("readings", "suspect", "before: 95 %", "worst", "after: 95 %", "worst", "table"):
        table.add_column(head, justify="right")
    for row in said["instruments"]:
        table.add_row(
            row["instrument"],
            str(row["readings"]),
            str(len(row["suspect_rows"])),
            *(
                f"{row[key]:.2f}°"
                for key in (
                    "error_95_before_deg",
                    "worst_error_before_deg",
                    "error_95_after_deg",
                    "worst_error_after_deg",
                )
            ),
            f"{row['table_bytes']} B",
        )
    measured = said["measured_servo"]
    width = max(92, min(Console().width, 110)) if sys.stdout.isatty() else 92
    paper = Console(file=io.StringIO(), width=width)
    paper.print(table)
    paper.print(
        f"A real servo, {measured['readings']} published readings: {_rows(measured['suspect_rows'])}, "
        f"table {measured['table_bytes']} B, within {measured['table_worst_error_us']:.2f} µs of the fit.",
        highlight=False,
    )
    paper.print(
        f"{counted(len(said['files']), 'file')} in {demo.out}. Begin with the records: "
        + ", ".join(name for name in said["files"] if name.endswith(".record.pdf")),
        highlight=False,
    )
    assert isinstance(paper.file, io.StringIO)
    return paper.file.getvalue().rstrip()


def _rows(suspect: list[int]) -> str:
    return "none suspect" if not suspect else f"rows {', '.join(map(str, suspect))} suspect"
