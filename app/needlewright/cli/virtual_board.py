"""be a board with servos and steppers, on a TCP port, with no hardware.

It obeys the line protocol (docs/line-protocol.md) and moves needles that have the faults of real ones: gain,
bends, dead band, slack, end stops. It prints its address and runs until Ctrl-C. With --misbehave it also
fails in the ways lines, plugs, servos and supplies fail.
"""

from __future__ import annotations

import ipaddress
import json
import sys
from argparse import ArgumentParser, Namespace
from dataclasses import replace
from pathlib import Path

from gaugecore.board.virtual_options import VirtualOptions
from gaugecore.board.virtual_server import VirtualServer
from gaugecore.errors import InputError
from needlewright.cli.outcome import Outcome


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument(
        "--listen",
        default="127.0.0.1:0",
        metavar="HOST:PORT",
        help="where to listen; port 0 takes a free one (default: this machine only, a free port)",
    )
    parser.add_argument("--seed", default="1", metavar="N", help="draws the movements (default 1)")
    parser.add_argument("--panel", type=Path, metavar="PANEL", help="a needle for each dial of this panel")
    parser.add_argument("--channels", metavar="N", help="how many movements (default 1, or one a needle)")
    parser.add_argument(
        "--needle",
        action="append",
        default=[],
        metavar="LOW_US,HIGH_US,ANGLE,ANGLE",
        help="nominal line of a channel: two pulse widths and the dial angles there; repeatable",
    )
    parser.add_argument(
        "--stepper",
        action="append",
        default=[],
        metavar="STEPS,ANGLE,ANGLE",
        help="a stepper's: steps from its stop to the far end, and the dial angles there; after the needles",
    )
    parser.add_argument(
        "--pace", default="1", metavar="X", help="how much faster than life the movements run"
    )
    parser.add_argument("--slips", default="0", metavar="X", help="part of the eye's readings that are wrong")
    parser.add_argument(
        "--misbehave",
        default="",
        metavar="NAME=X,...",
        help="faults and their probabilities: drop, delay, corrupt, duplicate, cut, garbage, reset, hangup, "
        "stall, brownout",
    )


def run(args: Namespace) -> Outcome:
    """Serve until stopped."""
    host, port = _address(args.listen)
    server = VirtualServer(_options(args), host=host, port=port)
    channels = len(server.board.channels)
    if args.json:
        report = {"url": server.url, "host": server.host, "port": server.port, "channels": channels}
        line = json.dumps(report)
    else:
        line = (
            f"virtual board with {channels} channel{'s' * (channels != 1)} on {server.url}, Ctrl-C stops it"
        )
    try:
        print(line, flush=True)  # noqa: T201
        if not ipaddress.ip_address(server.host).is_loopback:
            print("needlewright: other machines can reach this board", file=sys.stderr)  # noqa: T201
        server.serve()
    except KeyboardInterrupt:
        pass
    return Outcome(report=None)


def _options(args: Namespace) -> VirtualOptions:
    query = f"seed={args.seed}&pace={args.pace}&slips={args.slips}&misbehave={args.misbehave}"
    query += f"&channels={args.channels}" if args.channels is not None else ""
    query += "".join(f"&needle={needle}" for needle in args.needle)
    query += "".join(f"&stepper={stepper}" for stepper in args.stepper)
    options = VirtualOptions.parse(query)
    if args.panel is not None and not args.needle and not args.stepper:
        from gaugecore.panel.needle_of import needle_of
        from gaugecore.panel.store import load_panel

        needles = tuple(needle_of(instrument) for instrument in load_panel(args.panel).instruments)
        if needles:
            channels = options.channels if args.channels is not None else len(needles)
            options = replace(options, needles=needles, channels=channels)
    return options


def _address(text: str) -> tuple[str, int]:
    host, colon, port = text.rpartition(":")
    host = host.strip("[]")
    if not colon or not port.isascii() or not port.isdigit() or int(port) > 65535:
        raise InputError(
            "where to listen", where="--listen", found=text, accepted="HOST:PORT, port 0 to 65535"
        )
    return host or "127.0.0.1", int(port)
