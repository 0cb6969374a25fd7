"""draw faces, pointers and the test card at true size.

One file a plate and format, and a test card that proves the print and carries a protractor for the needle.
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
from needlewright.cli.which import the_ones
from needlewright.cli.words import counted
from needlewright.plate_files import FORMATS, plate_files

CAUTION = (
    "Print at actual size and measure the bars of the test card.\n"
    "Laser work needs extraction, somebody beside it the whole time and a fire plan; never cut PVC. "
    "Local rules come first."
)


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")
    parser.add_argument("--instrument", metavar="ID", help="this one only; all of them when left out")
    parser.add_argument(
        "--as",
        dest="formats",
        default=",".join(FORMATS),
        metavar="LIST",
        help=f"formats, joined by commas: {', '.join(FORMATS)} (all of them when left out)",
    )
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="the folder to write to")
    parser.add_argument("--force", action="store_true", help="replace files that are there already")


def run(args: Namespace) -> Outcome:
    """Draw the plates of a panel."""
    formats = formats_of(args.formats)
    panel = load_panel(args.panel)
    instruments = the_ones(panel, args.instrument, path=args.panel)
    paths = write_outputs(args.out, plate_files(instruments, formats), force=args.force)
    faults = face_faults(instruments)
    lines = [
        f"{counted(len(paths), 'file')} in {args.out}: {', '.join(path.name for path in paths)}",
        CAUTION,
    ]
    if faults:
        lines += ["", as_text(faults)]
    return Outcome(
        report={"files": [str(path) for path in paths], "faults": [as_json(fault) for fault in faults]},
        text="\n".join(lines),
        exit_code=Exit.FAULT if faults else Exit.DONE,
    )


def formats_of(text: str) -> list[str]:
    """Return the formats named in a list, in its order, each once."""
    names = list(dict.fromkeys(name.strip().lower() for name in text.split(",") if name.strip()))
    wrong = [name for name in names if name not in FORMATS]
    if wrong or not names:
        raise InputError(
            "unknown format" if wrong else "no format is named",
            where="--as",
            found=", ".join(wrong) or text,
            accepted=", ".join(FORMATS),
        )
    return names
