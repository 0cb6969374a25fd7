"""open the window.

Shows the panel's dials, lets everything be edited, and takes calibrations; with no PANEL it begins with a
plain dial.
"""

from __future__ import annotations

import os
import sys
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
    _check_screen()
    try:
        from needlewright.ui.opening import open_window
    except ImportError as error:
        raise InputError(
            f"the window needs Qt, which cannot be loaded here ({error})",
            accepted='an installation with it: pip install "needlewright[window]"',
        ) from error
    open_window(path)
    return Outcome(report={"panel": str(path) if path is not None else None})


def _check_screen() -> None:
    """Refuse where there is no screen; Qt itself would end the process without a word to the user."""
    named = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    if sys.platform.startswith("linux") and not any(os.environ.get(name) for name in named):
        raise InputError(
            "there is no screen to open a window on",
            accepted="a graphical session (DISPLAY or WAYLAND_DISPLAY is set); the other verbs need none",
        )
