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
