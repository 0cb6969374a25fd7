"""Firmware: bytes, cycles, pulses at the pin, answers, and a million bad lines; in the simulated AVR."""

from __future__ import annotations

import itertools
import random
import subprocess
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import Console
from rich.table import Table as Grid

from gaugecore.firmware import RUNTIME, source
from gaugecore.table.c import to_c
from gaugecore.table.colophon import identifier
from tests.bench.float_needle import FLOAT_NEEDLE, INTEGER_NEEDLE
from tests.firmware import dials, fuzz_words
from tests.firmware.builds import BENCH, BENCH_CORE, PROGRAM, build_avr, build_host, build_simulator
from tests.firmware.desk import desk_header
from tests.firmware.host_bench import HostBench
from tests.firmware.mischief import Driven, be_patient, play_batch
from tests.firmware.oracle import Mirror, Mischief
from tests.firmware.simboard import CYCLES_PER_MS, CYCLES_PER_TICK, FRAME_CYCLES, MCUS, SimBoard
from tests.fuzzing import fuzz
from tests.table import fuzz_target
from tests.table.catalogue import catalogue
from tests.table.machines import AvrProgram

_CONSOLE = Console()
_MILLION = 1_000_000
_SIMULATED_LINES = 30_000
_FUZZED_INPUTS = 200_000


def run() -> None:
    """Print all of it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        library = build_simulator(folder)
        _show_bytes(folder)
        _show_cycles()
        _show_pulses(folder, library)
        _show_answers(folder, library)
        _show_mischief(folder, library)
        _show_fuzzing(folder)


def _grid(title: str, *columns: str) -> Grid:
    grid = Grid(title=title, title_justify="left")
    for place, column in enumerate(columns):
        grid.add_column(column, justify="left" if place == 0 else "right")
    return grid


def _show_bytes(folder: Path) -> None:
    grid = _grid("Bytes", "program", "MCU", "flash", "RAM without stack")
    for table in (dials.rudder(), dials.shaft_speed(), dials.fuel()):
        (folder / f"{identifier(table.origin.name)}.h").write_bytes(to_c(table))
    (folder / "needles.h").write_text(desk_header())
    for mcu in MCUS:
        for name, sources in (("bench program", BENCH), ("small program, three tables", PROGRAM)):
            elf = build_avr(mcu, folder / "size.elf", *sources, flags=(f"-I{folder}",))
            text, data, bss = map(int, _run("avr-size", elf).splitlines()[1].split()[:3])
            grid.add_row(name, mcu, f"{text + data}", f"{data + bss}")
    _CONSOLE.print(grid)


def _show_cycles() -> None:
    grid = _grid(
        "Cycles of one step of a slewed move, 1000 to 2000 µs",
        *("form", "MCU", "mean", "most", "at rest", "flash"),
    )
    runtime = {name: source(name) for name in RUNTIME}
    for mcu in MCUS:
        for form, main in (("integer runtime", INTEGER_NEEDLE), ("naive floating point", FLOAT_NEEDLE)):
            program = AvrProgram.of(mcu, {"main.c": main, **runtime}, "-lm")
            outputs, cycles = program.call("step", range(0, 60))
            assert outputs[-1] == 4000, outputs
            moving = cycles[2:][outputs[1:-1] != outputs[2:]]
            figures = (round(moving.mean()), moving.max(), cycles[-1], program.flash_bytes())
            grid.add_row(form, mcu, *map(str, figures))
    _CONSOLE.print(grid)


def _show_pulses(folder: Path, library: Path) -> None:
    grid = _grid(
        "Pulse width less commanded, frame less 20 ms; cycles of 62.5 ns (8 to a tick)",
        *("edges of servo", "MCU", "traffic", "pulses", "width", "frame"),
    )
    ways = (("1: set at once (rival)", ("-DAHEAD=0u",)), ("1: waits for its tick", ()))
    for mcu in MCUS:
        for name, flags in ways:
            program = build_avr(mcu, folder / "pulses.elf", *BENCH, flags=flags)
            for traffic in (False, True):
                for pin, widths, gaps in _measure(SimBoard(library, mcu, program), traffic):
                    if pin == 1 or not flags:  # the rival's servo 0 is made by the timer too
                        edges = name if pin == 1 else "0: made by the timer"
                        said = "busy" if traffic else "none"
                        spreads = (f"{min(some):+d} to {max(some):+d}" for some in (widths, gaps))
                        grid.add_row(edges, mcu.removeprefix("atmega"), said, f"{len(widths)}", *spreads)
    _CONSOLE.print(grid)
    _CONSOLE.print("Busy: requests without a pause, a stepper homing. The simulator sees whole")
    _CONSOLE.print("instructions, up to 4 cycles, and works the timer's count out in proportion.\n")


def _measure(board: SimBoard, traffic: bool) -> Iterator[tuple[int, list[int], list[int]]]:
    """Yield pin, width errors and frame errors for a sweep of commands."""
    board.greet()
    widths: dict[int, list[int]] = {0: [], 1: []}
    gaps: dict[int, list[int]] = {0: [], 1: []}
    stepper = 3 if board.mcu == "atmega328p" else 4
    for channel in (0, 1):
        board.ask(f"limits {channel} 600 6000")
    board.ask(f"limits {stepper} 0 900")
    board.ask("watchdog 60000")
    if traffic:
        board.ask(f"home {stepper}")
    for command in range(600, 6001, 300):
        board.ask(f"move 0 {command} {command}")
        board.run_ms(150)
        board.pulses(0), board.pulses(1)
        for _ in range(40 if traffic else 0):
            board.ask("counters")
        board.run_ms(20 if traffic else 260)
        for pin in (0, 1):
            pulses = board.pulses(pin)
            widths[pin] += [pulse.width - command * CYCLES_PER_TICK for pulse in pulses]
            starts = [pulse.start for pulse in pulses]
            gaps[pin] += [b - a - FRAME_CYCLES for a, b in itertools.pairwise(starts)]
    board.close()
    for pin in (0, 1):
        yield pin, widths[pin], gaps[pin]


def _show_answers(folder: Path, library: Path) -> None:
    grid = _grid(
        "Answers: ms from end of request to end of answer (promised: 250)",
        "request",
        *MCUS,
    )
    requests = (
        *("hello 1", "move 0 3000 3000 3000", "status 0", "counters", "limits 0 2100 3900", "begin 0 60"),
        *(f"block 0 0 {'0102' * 12}", "raw 0 100"),
    )
    boards = [SimBoard(library, mcu, build_avr(mcu, folder / f"{mcu}.elf", *BENCH)) for mcu in MCUS]
    for board in boards:
        board.greet()
    for request in requests:
        grid.add_row(request[:24], *(f"{_answer_ms(board, request):.1f}" for board in boards))
    for board in boards:
        board.close()
    _CONSOLE.print(grid)


def _answer_ms(board: SimBoard, request: str) -> float:
    began = board.cycle
    answer = board.ask(request)
    assert answer
    line_ms = 1500 * (len(request) + 10) / CYCLES_PER_MS  # the simulated wire's pace
    return (board.cycle - began) / CYCLES_PER_MS - line_ms


def _show_mischief(folder: Path, library: Path) -> None:
    grid = _grid("Random and mutated lines", "where", "lines", "wrong moves", "lines a second")
    program = build_avr("atmega328p", folder / "mischief.elf", *BENCH)
    board = SimBoard(library, "atmega328p", program)
    board.run_ms(50)
    host = HostBench(build_host("gcc", folder, "host_bench.c", *BENCH_CORE))
    for where, driven, lines in (
        ("simulated ATmega328P", board, _SIMULATED_LINES),
        ("this machine, sanitised", host, _MILLION),
    ):
        taken_s = _play(driven, lines)
        grid.add_row(where, f"{lines:,}", "0", f"{lines / taken_s:,.0f}")
    board.close()
    host.close()
    _CONSOLE.print(grid)


def _show_fuzzing(folder: Path) -> None:
    grid = _grid(
        "Fuzzed for coverage (clang's libFuzzer, address and undefined-behaviour sanitizers)",
        *("what", "inputs", "findings", "places reached", "inputs kept", "inputs a second"),
    )
    tables = catalogue()
    for what, program, seeds, words in (
        ("line parser and verbs", fuzz_words.build(folder), fuzz_words.seeds(), fuzz_words.WORDS),
        ("table headers", fuzz_target.build(folder, tables), fuzz_target.seeds(tables), ()),
    ):
        began_s = time.perf_counter()
        found = fuzz(program, runs=_FUZZED_INPUTS, seeds=seeds, words=words)
        pace = found.runs / (time.perf_counter() - began_s)
        grid.add_row(what, f"{found.runs:,}", "0", f"{found.coverage:,}", f"{found.corpus:,}", f"{pace:,.0f}")
    _CONSOLE.print(grid)


def _play(driven: Driven, lines: int) -> float:
    """Send so many bad lines; return the time it took. A wrong move raises."""
    began_s = time.perf_counter()
    mischief, mirror = Mischief(random.Random(lines), channels=3), Mirror(channels=4)
    be_patient(driven, mirror, mischief)
    for _ in range(0, lines, 500):
        play_batch(driven, mirror, mischief, lines=500)
    return time.perf_counter() - began_s


def _run(*words: str | Path) -> str:
    done: Sequence[str | Path] = words
    return subprocess.run(done, capture_output=True, text=True, check=True).stdout


if __name__ == "__main__":
    run()
