"""make a starter panel.

Writes a panel file with one plain dial, or a copy of a sample, to be made into your own.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from gaugecore.errors import InputError
from gaugecore.files import write_outputs
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import SUFFIX, load_panel, panel_text
from needlewright.cli.outcome import Outcome
from needlewright.samples import sample_names, sample_path


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("file", type=Path, metavar="FILE", help=f"the new panel file, NAME{SUFFIX}")
    parser.add_argument("--like", metavar="SAMPLE", help=f"start from a sample: {', '.join(sample_names())}")
    parser.add_argument("--force", action="store_true", help="replace a file that is there already")


def run(args: Namespace) -> Outcome:
    """Write the starter panel."""
    path: Path = args.file
    if not path.name.endswith(SUFFIX):
        if path.suffix:
            raise InputError("a panel file has its own ending", found=path.name, accepted=f"NAME{SUFFIX}")
        path = path.with_name(path.name + SUFFIX)
    if args.like is None:
        panel = starter_panel(path.name.removesuffix(SUFFIX))
    else:
        panel = load_panel(sample_path(args.like))
    write_outputs(path.parent, {path.name: panel_text(panel).encode("utf-8")}, force=args.force)
    instruments = [instrument.id for instrument in panel.instruments]
    return Outcome(
        report={"file": str(path), "instruments": instruments},
        text=f"{path}: instruments {', '.join(instruments)}.\nNext: needlewright check {path}",
    )
