"""make a starter panel.

Writes a panel file with one plain dial, or a dial with the face of a preset, or a copy of a sample, to be
made into your own.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from gaugecore.errors import InputError
from gaugecore.face.presets import preset_names
from gaugecore.files import write_outputs
from gaugecore.panel.document import Panel
from gaugecore.panel.starter import preset_panel, starter_panel
from gaugecore.panel.store import SUFFIX, load_panel, panel_text
from needlewright.cli.outcome import Outcome
from needlewright.samples import sample_names, sample_path


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("file", type=Path, metavar="FILE", help=f"the new panel file, NAME{SUFFIX}")
    parser.add_argument(
        "--like",
        metavar="NAME",
        help=f"start from a sample: {', '.join(sample_names())}; or from one dial with the face of a preset: "
        f"{', '.join(preset_names())}",
    )
    parser.add_argument("--force", action="store_true", help="replace a file that is there already")


def run(args: Namespace) -> Outcome:
    """Write the starter panel."""
    path = _panel_path(args.file)
    panel = _panel(args.like, path.name.removesuffix(SUFFIX))
    write_outputs(path.parent, {path.name: panel_text(panel).encode("utf-8")}, force=args.force)
    instruments = [instrument.id for instrument in panel.instruments]
    return Outcome(
        report={"file": str(path), "instruments": instruments},
        text=f"{path}: instruments {', '.join(instruments)}.\nNext: needlewright check {path}",
    )


def _panel_path(path: Path) -> Path:
    """Return the path of the panel file, with its ending."""
    if path.name in ("", "..", SUFFIX):
        raise InputError("the panel has no name", where="FILE", found=str(path), accepted=f"NAME{SUFFIX}")
    if path.name.endswith(SUFFIX):
        return path
    if path.suffix:
        raise InputError("a panel file has its own ending", found=path.name, accepted=f"NAME{SUFFIX}")
    return path.with_name(path.name + SUFFIX)


def _panel(like: str | None, title: str) -> Panel:
    if like is None:
        return starter_panel(title)
    if like in preset_names():
        return preset_panel(title, like)
    if like not in sample_names():
        raise InputError(
            "there is no such sample or preset",
            where="--like",
            found=like,
            accepted=", ".join((*sample_names(), *preset_names())),
        )
    return load_panel(sample_path(like))
