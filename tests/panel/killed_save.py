"""Saves that are killed: a child saves a panel while strace kills it at one chosen system call.

Used by the test and by the reliability bench. The child is attached to only after it has imported everything,
so that every system call counted belongs to the save. What it calls is what `save_panel` calls, with the text
of the panel made beforehand: hundreds of children would otherwise spend their time importing.
"""

from __future__ import annotations

import contextlib
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

_CHILD = """
import sys
from pathlib import Path
from gaugecore.files import write_whole
content = Path(sys.argv[1]).read_bytes()
print("ready", flush=True)
sys.stdin.readline()
write_whole(Path(sys.argv[2]), content)
"""


def system_calls_of_a_save(panel: Path, target: Path, log: Path) -> list[tuple[str, int]]:
    """Return every system call of a save as (name, which one of that name), in order."""
    assert _save_under_strace(panel, target, "-o", str(log))
    counts: Counter[str] = Counter()
    calls = []
    for name in re.findall(r"^(?:\d+ +)?([a-z_0-9]+)\(", log.read_text(), re.MULTILINE):
        counts[name] += 1
        calls.append((name, counts[name]))
    return calls


def save_killed_at(call: tuple[str, int], panel: Path, target: Path) -> bool:
    """Save a panel over a target, killed at a system call; return whether the save came to its end."""
    name, number = call
    return _save_under_strace(
        panel, target, "-o", "/dev/null", "-e", f"inject={name}:signal=KILL:when={number}"
    )


def _save_under_strace(panel: Path, target: Path, *words: str) -> bool:
    child = subprocess.Popen(
        [sys.executable, "-c", _CHILD, str(panel), str(target)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert child.stdin is not None
    assert child.stdout is not None
    assert child.stdout.readline() == "ready\n"
    tracer = subprocess.Popen(
        ["strace", "-f", *words, "-p", str(child.pid)], stderr=subprocess.PIPE, text=True
    )
    assert tracer.stderr is not None
    assert "attached" in tracer.stderr.readline()
    with contextlib.suppress(BrokenPipeError):  # killed while it was still waiting
        child.stdin.write("\n")
        child.stdin.flush()
    code = child.wait(timeout=30)
    tracer.communicate(timeout=30)
    with contextlib.suppress(BrokenPipeError):
        child.stdin.close()
    child.stdout.close()
    return code == 0
