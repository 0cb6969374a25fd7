"""Compiles the firmware: for this machine with sanitisers, and for both microcontrollers."""

from __future__ import annotations

import subprocess
from pathlib import Path

import gaugecore.firmware

SOURCES = Path(gaugecore.firmware.__file__).parent
HERE = Path(__file__).parent
COMPILERS = ("gcc", "clang")

#: Clean under all of these, and a warning fails the build.
STRICT = ("-std=c99", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Werror")
_SANITISED = {
    "gcc": ("-fsanitize=address,undefined", "-fno-sanitize-recover=all"),
    # Debian's clang comes without the runtime of its sanitisers, so a finding traps instead of talking
    "clang": ("-fsanitize=undefined,unsigned-shift-base", "-fsanitize-trap=all"),
}


def run(*words: str | Path) -> str:
    """Run a tool; what it complains of becomes the test's failure."""
    done = subprocess.run([str(word) for word in words], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def build_host(compiler: str, folder: Path, program: str, *sources: str) -> Path:
    """Build a program of this folder with firmware sources, sanitised, and return it."""
    target = folder / f"{Path(program).stem}-{compiler}"
    files = [HERE / program, *(SOURCES / name for name in sources)]
    run(compiler, *STRICT, "-O1", "-g", *_SANITISED[compiler], f"-I{SOURCES}", *files, "-o", target)
    return target


#: What every program is built with besides its own files; the linker drops what is not used.
_SHARED = ("nw_needle.c", "avr_pulses.c", "avr_serial.c", "avr_stepper.c")
#: The part of the bench program that knows no microcontroller.
_CORE = (
    "bench.c",
    "bench_line.c",
    "bench_request.c",
    "bench_store.c",
    "bench_table.c",
    "bench_upload.c",
    "bench_verbs.c",
)
BENCH_CORE = (*_CORE, "nw_needle.c")
BENCH = (*_CORE, "bench_main.c", "avr_eeprom.c")
PROGRAM = ("needle_main.c", "needle_line.c")
AVR_FLAGS = ("-Os", "-ffunction-sections", "-fdata-sections", "-Wl,--gc-sections")


def build_avr(mcu: str, target: Path, *sources: str | Path, flags: tuple[str, ...] = ()) -> Path:
    """Build a program for a microcontroller, warnings being errors, and return it."""
    files = [SOURCES / name for name in (*sources, *_SHARED)]
    run("avr-gcc", f"-mmcu={mcu}", *STRICT, *AVR_FLAGS, *flags, f"-I{SOURCES}", *files, "-o", target)
    return target


def build_simulator(folder: Path) -> Path:
    """Build the harness as a shared library."""
    target = folder / "simboard.so"
    run("gcc", "-O2", "-Wall", "-Wextra", "-shared", "-fPIC", HERE / "simboard.c", "-o", target, "-lsimavr")
    return target
