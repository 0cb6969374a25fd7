"""write the paper that goes with the panel.

Build sheet and calibration record of every instrument, as one PDF at true size.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from gaugecore.errors import InputError
from gaugecore.files import write_outputs
from gaugecore.panel.store import load_panel
from needlewright.cli.check import as_json, as_text
from needlewright.cli.faults import face_faults
from needlewright.cli.outcome import Exit, Outcome

ENDING = ".pdf"


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")
    parser.add_argument("--out", type=Path, required=True, metavar="FILE.pdf", help="the PDF to write")
    parser.add_argument("--force", action="store_true", help="replace a file that is there already")


def run(args: Namespace) -> Outcome:
    """Write the record."""
    from gaugecore.record.record import record_pdf

    _check_ending(args.out)
    panel = load_panel(args.panel)
    write_outputs(args.out.parent, {args.out.name: record_pdf(panel)}, force=args.force)
    faults = face_faults(panel.instruments)
    calibrated = [i.id for i in panel.instruments if i.calibration.fit is not None]
    lines = [
        f"{args.out}: instruments {', '.join(i.id for i in panel.instruments)}; "
        f"calibrated: {', '.join(calibrated) or 'none'}.",
        "Print at actual size and measure the bars.",
    ]
    if faults:
        lines += ["", as_text(faults)]
    return Outcome(
        report={
            "file": str(args.out),
            "instruments": [i.id for i in panel.instruments],
            "calibrated": calibrated,
            "faults": [as_json(fault) for fault in faults],
        },
        text="\n".join(lines),
        exit_code=Exit.FAULT if faults else Exit.DONE,
    )


def _check_ending(path: Path) -> None:
    if path.suffix.lower() != ENDING:
        raise InputError(
            "a record is a PDF file",
            where="--out",
            found=str(path),
            accepted=f"a file name that ends in {ENDING}",
        )
