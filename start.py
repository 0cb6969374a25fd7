#!/usr/bin/env python3
"""Set Needlewright up and run it; needs nothing but Python 3.11 or later.

    python3 start.py demo     the main job, start to end, with no hardware; results in out/demo/
    python3 start.py test     all checks: format, lint, types, directions of import, tests
    python3 start.py app      the window
    python3 start.py bench    the benchmarks
    python3 start.py VERB …   any verb of the terminal, as in: start.py check my.panel.json

It makes .venv beside this file, installs the pinned packages into it, and installs missing Debian packages
when it may; otherwise it prints the one line that does.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PINS = ROOT / ".ci" / "pins.txt"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")

#: What Qt loads at run time and its wheel does not bring.
WINDOW_PACKAGES = (
    "libegl1",
    "libgl1",
    "libxkbcommon0",
    "libdbus-1-3",
    "libfontconfig1",
    "libglib2.0-0",
    "libxcb-cursor0",
    "libxcb-icccm4",
    "libxcb-keysyms1",
    "libxcb-shape0",
    "libxkbcommon-x11-0",
)
#: Compilers and the simulated AVR for the firmware tests, a rasteriser for the pages, a screen.
TEST_PACKAGES = (
    "gcc",
    "libc6-dev",
    "clang",
    "gcc-avr",
    "avr-libc",
    "binutils-avr",
    "simavr",
    "libsimavr-dev",
    "libclang-rt-14-dev",
    "poppler-utils",
    "strace",
    "xvfb",
    "xdotool",
    "xauth",
)

#: In CI the tests run in the same order every time; elsewhere the order is another one each time.
SEED = ("--randomly-seed=1",) if os.environ.get("CI") else ()


def main(words: list[str]) -> int:
    """Set up what the command needs, then run it."""
    if sys.version_info < (3, 11):  # noqa: UP036
        print(f"Needlewright needs Python 3.11 or later; this is {sys.version.split()[0]}.", file=sys.stderr)
        return 2
    if not words or words[0] in ("-h", "--help"):
        print(__doc__)
        return 0 if words else 2
    command, *rest = words
    # no `match` here: an older Python must get as far as the sentence above
    if command in ("test", "bench"):
        install_debian((*WINDOW_PACKAGES, *TEST_PACKAGES))
        install_python("window,test")
        return check(rest) if command == "test" else run("-m", "tests.bench", *rest)
    if command == "app":
        install_debian(WINDOW_PACKAGES)
    install_python("window" if command == "app" else "")
    return run("-m", "needlewright", *words)


def check(rest: list[str]) -> int:
    """Run every check; stop at the first that fails."""
    steps = (
        ("format", ("-m", "ruff", "format", "--check", ".")),
        ("lint", ("-m", "ruff", "check", ".")),
        ("types", ("-m", "mypy")),
        ("directions of import", ("-c", "from importlinter.cli import lint_imports_command as c; c()")),
        ("tests", ("-m", "pytest", "-n", "2", *SEED, *rest)),
    )
    for name, words in steps:
        print(f"== {name}", flush=True)
        code = run(*words)
        if code:
            print(f"start.py: {name} failed", file=sys.stderr)
            return code
    return 0


def run(*words: str) -> int:
    """Run the project's Python on something, in the folder the user is in for verbs, else in the root."""
    inside = words[:2] != ("-m", "needlewright")
    return subprocess.run([str(PYTHON), *words], cwd=ROOT if inside else None, check=False).returncode


def install_python(extras: str) -> None:
    """Make .venv and install the pinned packages, unless that was done before for the same files."""
    wanted = hashlib.sha256(b"".join((ROOT / f).read_bytes() for f in ("pyproject.toml", ".ci/pins.txt")))
    stamp = VENV / "needlewright-installed"
    have = stamp.read_text("utf-8").split() if stamp.exists() and PYTHON.exists() else []
    done = have[1:] if have[:1] == [wanted.hexdigest()] else []
    missing = [extra for extra in extras.split(",") if extra and extra not in done]
    if done and not missing:
        return
    if not PYTHON.exists():
        print("start.py: making .venv", file=sys.stderr)
        venv.create(VENV, with_pip=True)
    kept = sorted({*done, *missing, "core"})
    chosen = ",".join(extra for extra in kept if extra != "core")
    print("start.py: installing the pinned packages (a minute or two, once)", file=sys.stderr)
    target = f"{ROOT}[{chosen}]" if chosen else str(ROOT)
    words = ["-m", "pip", "install", "-q", "--disable-pip-version-check", "-c", str(PINS), "-e", target]
    if subprocess.run([str(PYTHON), *words], check=False).returncode:
        sys.exit("start.py: the packages could not be installed; is the network there?")
    stamp.write_text("\n".join([wanted.hexdigest(), *kept]), "utf-8")


def install_debian(packages: tuple[str, ...]) -> None:
    """Install what is missing of Debian's packages, or say how; does nothing on other systems."""
    if not shutil.which("dpkg-query") or not shutil.which("apt-get"):
        return
    missing = [package for package in packages if not _is_installed(package)]
    if not missing:
        return
    line = f"apt-get install -y --no-install-recommends {' '.join(missing)}"
    if os.geteuid() != 0:
        print(f"start.py: some Debian packages are missing; please run\n  sudo {line}", file=sys.stderr)
        return
    print(f"start.py: installing {len(missing)} Debian packages", file=sys.stderr)
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for words in (["apt-get", "update", "-qq"], line.split()):
        done = subprocess.run(words, env=quiet, stdout=subprocess.DEVNULL, check=False)
    if done.returncode:
        print(f"start.py: that failed; please run\n  sudo {line}", file=sys.stderr)


def _is_installed(package: str) -> bool:
    words = ["dpkg-query", "-W", "-f=${Status}", package]
    answer = subprocess.run(words, capture_output=True, text=True, check=False)
    return answer.stdout.startswith("install ok installed")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
