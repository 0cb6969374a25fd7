"""open the window.

Shows the panel's dials, lets everything be edited, and takes calibrations; with no PANEL it begins with a
plain dial.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from gaugecore.errors import InputError
from gaugecore.panel.store import load_panel
from needlewright.cli.outcome import Outcome


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, nargs="?", metavar="PANEL", help="a panel file")


def run(args: Namespace) -> Outcome:
    """Open the window and stay until it is closed."""
    path: Path | None = args.panel
    if path is not None:
        load_panel(path)  # a bad file is refused here, before there is a window to clean up
    try:
        from needlewright.ui.opening import open_window
    except ImportError as error:
        raise InputError(
            f"the window needs Qt, which cannot be loaded here ({error})",
            accepted='an installation with it: pip install "needlewright[window]"',
        ) from error
    open_window(path)
    return Outcome(report={"panel": str(path) if path is not None else None})
