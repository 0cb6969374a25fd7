"""A reader in a process of its own, given too much: how long it took, how much memory, what it said."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

#: What reads files of others, as module:function.
READERS = {
    "panel": "gaugecore.panel.store:load_panel",
    "readings": "gaugecore.calibration.readings:read_readings",
    "fit": "gaugecore.calibration.fit_file:read_fit",
    "recording": "gaugecore.feed.recording:read_recording",
    "font": "gaugecore.drawing.outline_font:load_font",
}

_CHILD = """
import importlib, resource, sys, time
from pathlib import Path
from gaugecore.errors import NeedlewrightError
module, name = sys.argv[1].split(":")
read = getattr(importlib.import_module(module), name)
given = sys.argv[2] if name == "load_font" else Path(sys.argv[2])
begun_s = time.perf_counter()
said = "ACCEPTED"
try:
    read(given)
except NeedlewrightError as error:
    said = str(error)
took_s = time.perf_counter() - begun_s
# Linux lets a child inherit its parent's largest memory in getrusage; the status file begins afresh
status = Path("/proc/self/status")
if status.exists():
    memory_kb = int(status.read_text().split("VmHWM:")[1].split()[0])
else:
    memory_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(took_s, memory_kb / 1024)
print(said)
"""


@dataclass(frozen=True, slots=True)
class Refusal:
    """How a file was refused."""

    took_s: float
    memory_mb: float
    said: str


def refusal(kind: str, path: Path) -> Refusal:
    """Return how a reader refuses a file; memory is that of the whole process."""
    # one thread: each thread of the linear algebra library sets memory aside that is no concern here
    done = subprocess.run(
        [sys.executable, "-c", _CHILD, READERS[kind], str(path)],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
    )
    figures, said = done.stdout.split("\n", 1)
    took_s, memory_mb = map(float, figures.split())
    return Refusal(took_s, memory_mb, said.rstrip("\n"))
