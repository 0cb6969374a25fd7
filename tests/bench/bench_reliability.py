"""Reliability: killed saves, corrupted bits, pulled cables, a day of driving, files that are too much.

The figures of the last run are in docs/reliability.md. Corrupted lines by the million and many needles at
once are in the bench of the board, beside their rivals.
"""

from __future__ import annotations

import os
import random
import time
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

from gaugecore.board.board import Board
from gaugecore.board.messages import frame
from gaugecore.errors import DocumentError
from gaugecore.panel.driven_dial import DrivenDial
from gaugecore.panel.driver import Driver
from gaugecore.panel.store import load_panel, panel_text
from tests.bench.bench_board import RATE_HZ, Endless, say
from tests.board.boards import a_board
from tests.board.test_corruption import TYPICAL, end_moving, harmless, passing
from tests.panel.killed_save import save_killed_at, system_calls_of_a_save
from tests.panel.refusal import refusal
from tests.panel.test_driver import an_instrument
from tests.panel.too_much import FILES, write

SAMPLES = Path(__file__).parents[2] / "samples"
KILLS = int(os.environ.get("NEEDLEWRIGHT_BENCH_KILLS", "100"))
#: The target is 24; a bench that takes ten minutes for it would not be run.
HOURS = float(os.environ.get("NEEDLEWRIGHT_BENCH_HOURS", "0.5"))


def run() -> None:
    """Print the figures."""
    say(f"{KILLS} saves killed at a system call drawn by lot, files of several sizes")
    _kills()
    say("\nAll changes of one, two and three bits of typical lines")
    _bits()
    say("\nFiles that are too much for their reader")
    _too_much()
    say(f"\n{HOURS:g} h of driving at {RATE_HZ:g} Hz, as fast as it goes")
    _long_drive(HOURS)


def _kills() -> None:
    draw, left, begun_s = random.Random(8), Counter[str](), time.monotonic()
    with TemporaryDirectory() as folder:
        target = Path(folder) / "desk.panel.json"
        news = {path: load_panel(path) for path in sorted(SAMPLES.glob("*.panel.json"))}
        calls = {}
        for path in news:
            target.write_text("", "utf-8")
            calls[path] = system_calls_of_a_save(path, target, Path(folder) / "calls")
        for _ in range(KILLS):
            path = draw.choice(list(news))
            old = news[path].model_copy(update={"title": "Before", "note": "x" * draw.randrange(4000)})
            target.write_text(panel_text(old), "utf-8")
            save_killed_at(draw.choice(calls[path]), path, target)
            try:
                found = load_panel(target)
                left["old" if found == old else "new" if found == news[path] else "LOST"] += 1
            except DocumentError:
                left["LOST"] += 1
    sizes = ", ".join(f"{path.stat().st_size / 1000:.0f} kB" for path in news)
    say(f"  {dict(left)}, of panels of {sizes} ({time.monotonic() - begun_s:.0f} s)")


def _bits() -> None:
    for body in TYPICAL:
        bits = 8 * len(frame(body))
        changes = bits + bits * (bits - 1) // 2 + bits * (bits - 1) * (bits - 2) // 6
        tried, _ = harmless(body, passing(frame(body)))
        say(f"  {body[:40]:40s} {changes:12,d} changes, {tried:5d} pass the CRC, 0 do anything")
    body = "2 move 0 3000"
    tried, passed = harmless(body, end_moving(frame(body)))
    say(f"  {body}, changes at the line's end: {tried:,d}, of which {passed} were lines still, 0 do anything")


def _too_much() -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "given"
        for (kind, name), content in FILES.items():
            write(content(), path)
            refused = refusal(kind, path)
            late = "" if refused.took_s < 1.0 else "   MORE THAN A SECOND"
            say(f"  {kind:10s} {name:26s} {refused.took_s:6.2f} s {refused.memory_mb:5.0f} MB{late}")


def _long_drive(hours: float) -> None:
    """Drive one dial for hours' worth of rounds; memory and processor time a round must not grow.

    The clock on the wall would count what else the machine does.
    """
    each = int(hours * 3600 * RATE_HZ) // 10
    with a_board("pace=1000") as board:
        driver = _driver(board)
        for tenth in range(1, 11):
            begun_s, begun_cpu_s = time.monotonic(), time.process_time()
            for _ in range(each):
                driver.round()
            cpu_us = 1e6 * (time.process_time() - begun_cpu_s) / each
            wall_us = 1e6 * (time.monotonic() - begun_s) / each
            state = driver.state()
            assert state.rounds == tenth * each
            say(
                f"  after {tenth * hours / 10:5.1f} h: {_held_kb():7,d} kB held, {cpu_us:5.0f} µs of work "
                f"a round ({wall_us:4.0f} µs on the wall), latency {state.latency_median_ms:.2f} ms"
            )


def _driver(board: Board) -> Driver:
    driver = Driver(board, [DrivenDial(an_instrument(), 0)], Endless())
    driver._period_s = 0.0
    driver.check_board(set_limits=True)
    return driver


def _held_kb() -> int:
    for line in Path("/proc/self/status").read_text("ascii").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1])
    return 0
