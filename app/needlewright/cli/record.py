"""write the paper that goes with the panel.

Build sheet and calibration record of every instrument, as one PDF at true size.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from gaugecore.files import write_outputs
from gaugecore.panel.store import load_panel
from needlewright.cli.outcome import Outcome


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")
    parser.add_argument("--out", type=Path, required=True, metavar="FILE.pdf", help="the PDF to write")
    parser.add_argument("--force", action="store_true", help="replace a file that is there already")


def run(args: Namespace) -> Outcome:
    """Write the record."""
    from gaugecore.record.record import record_pdf

    panel = load_panel(args.panel)
    write_outputs(args.out.parent, {args.out.name: record_pdf(panel)}, force=args.force)
    calibrated = [i.id for i in panel.instruments if i.calibration.fit is not None]
    return Outcome(
        report={
            "file": str(args.out),
            "instruments": [i.id for i in panel.instruments],
            "calibrated": calibrated,
        },
        text=f"{args.out}: instruments {', '.join(i.id for i in panel.instruments)}; "
        f"calibrated: {', '.join(calibrated) or 'none'}.\n"
        "Print at actual size and measure the bars.",
    )
