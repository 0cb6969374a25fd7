"""let live or recorded values move the needles.

The feed gives raw values by name; each instrument listens to its field. Needles follow damped and limited as
the panel says. At the end, Ctrl-C included, they go home and relax.
"""

from __future__ import annotations

import dataclasses
import signal
import sys
import threading
import time
from argparse import ArgumentParser, Namespace
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import Any

from gaugecore.board.board import Board
from gaugecore.board.session import CAUTION
from gaugecore.errors import InputError
from gaugecore.feed.open_feed import ACCEPTED, Playing, open_feed
from gaugecore.feed.recording import RecordedFeed
from gaugecore.feed.udp import UdpFeed
from gaugecore.panel.driven_dial import driven_dials
from gaugecore.panel.driver import Driver, DriveState
from gaugecore.panel.needle_of import port_for
from gaugecore.panel.store import load_panel
from needlewright.cli.outcome import Outcome

#: Signals closer together than this are one press of Ctrl-C.
_ONE_PRESS_S = 0.5


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")
    parser.add_argument(
        "--port", required=True, metavar="URL", help="device name, socket://HOST:PORT, or virtual:?seed=N"
    )
    parser.add_argument("--feed", required=True, metavar="URL", help=ACCEPTED)
    parser.add_argument(
        "--rate", type=float, default=50.0, metavar="HZ", help="most rounds a second (default 50)"
    )
    parser.add_argument("--for", dest="seconds", type=float, metavar="S", help="stop after so many seconds")
    parser.add_argument("--record", type=Path, metavar="FILE.csv", help="write down what comes in")
    parser.add_argument("--speed", type=float, default=1.0, metavar="X", help="of a recording (default 1)")
    parser.add_argument("--loop", action="store_true", help="play a recording over and over")
    parser.add_argument(
        "--from", dest="start", type=float, default=0.0, metavar="S", help="start in a recording"
    )
    parser.add_argument(
        "--set-limits", action="store_true", help="set the board's limits to the range of each fit"
    )


def run(args: Namespace) -> Outcome:
    """Drive until stopped."""
    if args.seconds is not None and not 0 < args.seconds < 1e9:
        raise InputError("how long", where="--for", found=args.seconds, accepted="seconds, more than 0")
    panel = load_panel(args.panel)
    dials, waiting = driven_dials(panel)
    playing = Playing(speed=args.speed, loop=args.loop, start_s=args.start)
    feed = open_feed(args.feed, [dial.listens_to for dial in dials], playing)
    try:
        if isinstance(feed, UdpFeed):
            _say(f"listening on udp://{feed.host}:{feed.port}")
            if feed.is_open_to_others:
                _say("other machines can send values")
        recorded = None
        if args.record is not None:
            feed = recorded = RecordedFeed(feed, args.record, [dial.name for dial in dials])
        with Board.open(port_for(args.port, panel)) as board:
            if not board.identity.virtual:
                _say(f"Caution. {CAUTION}")
            driver = Driver(board, dials, feed, rate_hz=args.rate)
            driver.check_limits(widen=args.set_limits or args.port.startswith("virtual:"))
            _drive(driver, args.seconds)
    finally:
        feed.close()
    state = driver.state()
    report = {
        "dials": [dataclasses.asdict(dial) for dial in state.dials],
        "without_fit": list(waiting),
        "seconds": state.elapsed_s,
        "rounds": state.rounds,
        "requests": state.requests,
        "latency_ms": {
            "median": state.latency_median_ms,
            "95_percent": state.latency_95_ms,
            "worst": state.latency_worst_ms,
        },
        "feed": dataclasses.asdict(feed.counters),
        "line": dataclasses.asdict(board.link.counters),
        "recording": str(args.record) if recorded is not None else None,
        "recording_failed": str(recorded.failure) if recorded is not None and recorded.failure else None,
    }
    return Outcome(report=report, text=_text(state, report))


def _drive(driver: Driver, seconds: float | None) -> None:
    """Run until the time is over, the feed ends, or Ctrl-C; that one parks the needles first."""
    stop = threading.Event()
    until_s = time.monotonic() + seconds if seconds is not None else None
    show = _shower(driver)

    def after_round() -> None:
        if until_s is not None and time.monotonic() >= until_s:
            stop.set()
        show()

    stopped_s = 0.0

    def on_interrupt(number: int, frame: FrameType | None) -> None:
        nonlocal stopped_s
        if stop.is_set() and time.monotonic() - stopped_s > _ONE_PRESS_S:
            raise KeyboardInterrupt  # asked twice: relax at once
        stopped_s = time.monotonic()
        stop.set()

    before = signal.signal(signal.SIGINT, on_interrupt)
    try:
        driver.run(stop, on_round=after_round)
    finally:
        signal.signal(signal.SIGINT, before)
        if sys.stderr.isatty():
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)  # noqa: T201


def _shower(driver: Driver) -> Callable[[], None]:
    if not sys.stderr.isatty():
        return lambda: None
    shown_s = 0.0

    def show() -> None:
        nonlocal shown_s
        if time.monotonic() - shown_s < 0.25:
            return
        shown_s = time.monotonic()
        print("\r\x1b[K" + _line(driver.state()), end="", file=sys.stderr, flush=True)  # noqa: T201

    return show


def _line(state: DriveState) -> str:
    if state.trouble:
        return state.trouble[:100]
    dials = "  ".join(
        f"{dial.id} {dial.angle_deg:.1f}°" if dial.angle_deg is not None else f"{dial.id} -"
        for dial in state.dials
    )
    latency = f"{state.latency_median_ms:.1f} ms" if state.latency_median_ms is not None else "no values yet"
    return f"{dials}  |  {latency}, Ctrl-C parks"[:160]


def _text(state: DriveState, report: dict[str, Any]) -> str:
    lines = [f"{len(state.dials)} dials driven for {state.elapsed_s:.1f} s, {state.requests} requests"]
    if state.latency_median_ms is not None:
        lines.append(
            f"from value to board: median {state.latency_median_ms:.1f} ms, "
            f"95 % {state.latency_95_ms:.1f} ms, worst {state.latency_worst_ms:.1f} ms"
        )
    else:
        lines.append("no value came for any of them")
    lines.append("feed: " + ", ".join(f"{name} {count}" for name, count in report["feed"].items() if count))
    if report["without_fit"]:
        lines.append("left out, not calibrated yet: " + ", ".join(report["without_fit"]))
    if report["recording_failed"]:
        lines.append(report["recording_failed"])
    elif report["recording"]:
        lines.append(f"recorded in {report['recording']}")
    return "\n".join(lines)


def _say(text: str) -> None:
    print(text, file=sys.stderr, flush=True)  # noqa: T201
