"""nest all plates of a panel on its stock, kerf allowed for, and on paper.

One file a sheet and format, a kerf test piece, and with --paper the plates at true size on paper pages with
bars that prove the print. Give --print-correction what the bars measured, and the next print is right.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from gaugecore.errors import InputError
from gaugecore.files import write_outputs
from gaugecore.findings import Finding
from gaugecore.panel.document import Panel
from gaugecore.panel.sheets import Sheet
from gaugecore.panel.store import load_panel
from needlewright.cli.check import as_json, as_text
from needlewright.cli.draw import formats_of
from needlewright.cli.faults import face_faults, only_faults
from needlewright.cli.outcome import Exit, Outcome
from needlewright.cli.words import counted
from needlewright.plate_files import FORMATS
from needlewright.sheet_files import PAPERS, paper_file, sheet_files

CAUTION = (
    "Kerf differs from sheet to sheet: cut the kerf test piece first and put what it shows into the stock.\n"
    "Laser work on acrylic needs extraction, somebody beside it the whole time and a fire plan; "
    "never cut PVC. Your machine's rules and local rules come first."
)

PAPER_CAUTION = (
    "Print the paper pages at actual size (100 %), never fitted to the page, and measure both bars. "
    "If they are not 100 mm, give --print-correction what they measured."
)


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")
    parser.add_argument(
        "--as",
        dest="formats",
        default=",".join(FORMATS),
        metavar="LIST",
        help=f"formats of the sheets, joined by commas: {', '.join(FORMATS)} (all of them when left out)",
    )
    parser.add_argument(
        "--paper", metavar="SIZE", help=f"also on paper pages, one PDF file: {', '.join(PAPERS)}"
    )
    parser.add_argument(
        "--print-correction",
        nargs=2,
        metavar=("X", "Y"),
        help="what the level and the upright bar of the last print measured, in mm",
    )
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="the folder to write to")
    parser.add_argument("--force", action="store_true", help="replace files that are there already")


def run(args: Namespace) -> Outcome:
    """Nest the plates of a panel."""
    from gaugecore.panel.making_checks import check_making
    from gaugecore.panel.sheets import sheets_of

    formats = formats_of(args.formats)
    measured = _measured_mm(args.print_correction, args.paper)
    paper = None if args.paper is None else _paper(args.paper)
    panel = load_panel(args.panel)
    _check_not_empty(panel, args.panel)
    with _spinner(f"making the plates of {counted(len(panel.instruments), 'instrument')}"):
        sheets = sheets_of(panel)
        files = sheet_files(panel, sheets, formats)
        if paper is not None:
            files |= paper_file(panel, paper, measured)
    faults = [*face_faults(panel.instruments), *only_faults(check_making(panel))]
    paths = write_outputs(args.out, files, force=args.force)
    return Outcome(
        report={
            "files": [str(path) for path in paths],
            "sheets": [_as_json(panel, sheet) for sheet in sheets],
            "faults": [as_json(fault) for fault in faults],
        },
        text=_text(panel, sheets, paths, args.out, faults),
        exit_code=Exit.FAULT if faults else Exit.DONE,
    )


@contextmanager
def _spinner(words: str) -> Iterator[None]:
    """Show on standard error, when it is a terminal, that something is being done."""
    from rich.console import Console

    console = Console(stderr=True)
    if not console.is_terminal:
        yield
        return
    with console.status(words, spinner="line"):
        yield


def _text(
    panel: Panel, sheets: Sequence[Sheet], paths: Sequence[Path], folder: Path, faults: list[Finding]
) -> str:
    lines = [
        f"{panel.stock[sheet.stock].name}, sheet {sheet.number}: {counted(len(sheet.pieces), 'piece')}, "
        f"{sheet.used_fraction:.0%} used"
        for sheet in sheets
    ]
    names = [path.name for path in paths]
    lines.append(f"{counted(len(paths), 'file')} in {folder}: {', '.join(names)}")
    if any(name.startswith("paper-") for name in names):
        lines.append(PAPER_CAUTION)
    lines.append(CAUTION)
    if faults:
        lines += ["", as_text(faults)]
    return "\n".join(lines)


def _as_json(panel: Panel, sheet: Sheet) -> dict[str, Any]:
    stock = panel.stock[sheet.stock]
    return {
        "stock": stock.name,
        "sheet": sheet.number,
        "width_mm": stock.width_mm,
        "height_mm": stock.height_mm,
        "kerf_mm": stock.kerf_mm,
        "pieces": list(sheet.pieces),
        "used_fraction": round(sheet.used_fraction, 4),
    }


def _paper(name: str) -> str:
    for paper in PAPERS:
        if paper.lower() == name.strip().lower():
            return paper
    raise InputError("unknown paper", where="--paper", found=name, accepted=", ".join(PAPERS))


def _measured_mm(words: list[str] | None, paper: str | None) -> tuple[float, float] | None:
    if words is None:
        return None
    if paper is None:
        raise InputError(
            "a print correction is for paper pages only",
            where="--print-correction",
            accepted="together with --paper",
        )
    try:
        x_mm, y_mm = (float(word.replace(",", ".")) for word in words)
    except ValueError as error:
        raise InputError(
            "the bars' lengths are not two numbers",
            where="--print-correction",
            found=" ".join(words),
            accepted="two lengths in mm, such as 98.5 99",
        ) from error
    return x_mm, y_mm


def _check_not_empty(panel: Panel, path: Path) -> None:
    if not panel.instruments:
        raise InputError(
            "the panel has no instruments, so there is nothing to cut",
            where=str(path),
            accepted="a panel with at least one",
        )
