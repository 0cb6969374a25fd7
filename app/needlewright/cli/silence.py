"""The options about the loss of traffic, for the verbs that move needles."""

from __future__ import annotations

from argparse import ArgumentParser


def add_silence_arguments(parser: ArgumentParser, *, what: str) -> None:
    """Add them.

    Parameters
    ----------
    parser : ArgumentParser
        Of the verb.
    what : str
        What the needle may be told to do, for the help.
    """
    parser.add_argument(
        "--watchdog",
        type=float,
        metavar="S",
        help="seconds without traffic after which needles relax or park, 0.1 to 60; stored in the board",
    )
    parser.add_argument(
        "--on-silence",
        action="append",
        default=[],
        metavar="WHAT",
        help=f"what the needle then does, stored in the board: {what}",
    )
