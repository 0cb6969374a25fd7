"""put the tables of calibrated dials into the board.

The board then drives its needles by raw values alone. The table goes into the slot that is not in use, is
checked as a whole, and only then takes over: pulling the cable on the way leaves the old one.
"""

from __future__ import annotations

import dataclasses
from argparse import ArgumentParser, Namespace
from pathlib import Path

from gaugecore.board.board import Board
from gaugecore.errors import InputError
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.needle_of import channel_of, port_for
from gaugecore.panel.store import load_panel
from needlewright.cli.outcome import Outcome
from needlewright.cli.which import the_ones
from needlewright.upload_job import Uploaded, UploadJob, upload_all

_MAX_ERROR = 0.5


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")
    parser.add_argument("--instrument", metavar="ID", help="this one only; all calibrated ones when left out")
    parser.add_argument(
        "--port", required=True, metavar="URL", help="device name, socket://HOST:PORT, or virtual:?seed=N"
    )
    parser.add_argument("--channel", type=int, metavar="N", help="with --instrument: channel of the board")
    parser.add_argument(
        "--max-error",
        type=float,
        default=_MAX_ERROR,
        metavar="X",
        help=f"largest error against the fit in µs or steps, if the board has room (default {_MAX_ERROR:g})",
    )
    parser.add_argument(
        "--hysteresis",
        type=int,
        metavar="N",
        help="raw units before the direction changes, 0 to 255 (default 1/256 of the raw range)",
    )
    parser.add_argument(
        "--one-map", action="store_true", help="one map through the middle of both directions"
    )
    parser.add_argument(
        "--clamp", action="store_true", help="stop needles at the ends of the arc they can be sent to"
    )
    parser.add_argument(
        "--set-limits",
        action="store_true",
        help="set the board's limits to what each dial may be sent (fit and movement agreeing)",
    )


def run(args: Namespace) -> Outcome:
    """Upload."""
    panel = load_panel(args.panel)
    chosen = _chosen(panel, args)
    if not 0 < args.max_error < 1000:
        raise InputError(
            "the largest error",
            where="--max-error",
            found=args.max_error,
            accepted="more than 0, less than 1000",
        )
    job = UploadJob(
        max_error=args.max_error,
        hysteresis=args.hysteresis,
        clamp=args.clamp,
        one_map=args.one_map,
        set_limits=args.set_limits,
    )
    with Board.open(port_for(args.port, panel)) as board:
        dials = [(one, channel_of(panel, one) if args.channel is None else args.channel) for one in chosen]
        done = upload_all(board, dials, job)
    report = {"board": board.identity.name, "tables": [dataclasses.asdict(one) for one in done]}
    return Outcome(report=report, text="\n".join(line for one in done for line in _lines(one)))


def _lines(one: Uploaded) -> list[str]:
    line = (
        f"{one.instrument}: {one.knots} knots, {one.bytes} of {one.capacity} bytes "
        f"in slot {one.slot} of channel {one.channel}, worst error {one.worst_error:.2f}"
    )
    return [line, f"{one.instrument}: {one.caution}"] if one.caution else [line]


def _chosen(panel: Panel, args: Namespace) -> list[Instrument]:
    if args.instrument is None:
        ready = [one for one in panel.instruments if one.calibration.fit is not None]
        if not ready or args.channel is not None:
            raise InputError(
                "no instrument of the panel has a fit yet"
                if not ready
                else "--channel is for one instrument",
                where=str(args.panel),
                accepted="an instrument that is calibrated" if not ready else "--instrument ID beside it",
            )
        return ready
    return the_ones(panel, args.instrument, path=args.panel)
