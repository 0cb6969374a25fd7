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
from gaugecore.feed.feed import Feed
from gaugecore.feed.open_feed import ACCEPTED, Playing
from gaugecore.feed.udp import UdpFeed
from gaugecore.panel.driver import Driver, DriveState
from gaugecore.panel.silence import parse_silence
from gaugecore.panel.store import load_panel
from needlewright.cli.ending import ended_gently
from needlewright.cli.outcome import Outcome
from needlewright.cli.silence import add_silence_arguments
from needlewright.drive_job import DriveJob, UnderWay, heard_on, under_way

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
    parser.add_argument("--force", action="store_true", help="with --record: replace a file that is there")
    parser.add_argument("--speed", type=float, default=1.0, metavar="X", help="of a recording (default 1)")
    parser.add_argument("--loop", action="store_true", help="play a recording over and over")
    parser.add_argument(
        "--from", dest="start", type=float, default=0.0, metavar="S", help="start in a recording"
    )
    parser.add_argument(
        "--set-limits",
        action="store_true",
        help="set the board's limits to what each dial may be sent (fit and movement agreeing)",
    )
    parser.add_argument(
        "--clamp", action="store_true", help="stop needles at the ends of the arc they can be sent to"
    )
    add_silence_arguments(parser, what="relax, home (the low end of the scale) or a command; ID=WHAT for one")


def run(args: Namespace) -> Outcome:
    """Drive until stopped."""
    if args.seconds is not None and not 0 < args.seconds < 1e9:
        raise InputError("how long", where="--for", found=args.seconds, accepted="seconds, more than 0")
    job = DriveJob(
        panel=load_panel(args.panel),
        port=args.port,
        feed=args.feed,
        playing=Playing(speed=args.speed, loop=args.loop, start_s=args.start),
        record=args.record,
        replace=args.force,
        set_limits=args.set_limits,
        clamp=args.clamp,
        silence=parse_silence(args.watchdog, args.on_silence),
        rate_hz=args.rate,
    )
    with ended_gently(), under_way(job, Board.open, on_feed=_say_feed) as drive:
        if not drive.board.identity.virtual:
            _say(f"Caution. {CAUTION}")
        _drive(drive.driver, args.seconds)
    state = drive.driver.state()
    report = _report(job, drive, state)
    return Outcome(report=report, text=_text(state, report))


def _report(job: DriveJob, drive: UnderWay[Board], state: DriveState) -> dict[str, Any]:
    return {
        "dials": [dataclasses.asdict(dial) for dial in state.dials],
        "without_fit": list(drive.waiting),
        "seconds": state.elapsed_s,
        "rounds": state.rounds,
        "requests": state.requests,
        "latency_ms": {
            "median": state.latency_median_ms,
            "95_percent": state.latency_95_ms,
            "worst": state.latency_worst_ms,
        },
        "awaited": list(state.awaited),
        "unused": list(state.unused),
        "feed": dataclasses.asdict(drive.feed.counters),
        "line": dataclasses.asdict(drive.board.link.counters),
        "recording": str(job.record) if job.record is not None else None,
        "recording_failed": drive.recording_failed or None,
    }


def _say_feed(feed: Feed) -> None:
    if isinstance(feed, UdpFeed):
        _say(f"listening {heard_on(feed, '')}")
        if feed.is_open_to_others:
            _say("other machines can send values")


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
    lines = [
        f"{len(state.dials)} dial{'s' * (len(state.dials) != 1)} driven for {state.elapsed_s:.1f} s, "
        f"{state.requests} requests"
    ]
    if state.latency_median_ms is not None:
        lines.append(
            f"from value to board: median {state.latency_median_ms:.1f} ms, "
            f"95 % {state.latency_95_ms:.1f} ms, worst {state.latency_worst_ms:.1f} ms"
        )
    if state.awaited:
        lines.append("no value came for: " + ", ".join(state.awaited))
        if state.unused:
            lines.append("came, and is followed by no dial: " + ", ".join(state.unused))
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
