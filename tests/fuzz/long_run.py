"""The long fuzz: ``python -m tests.fuzz.long_run [MILLIONS] [FOLDER]``, all targets in turn.

Prints executions and seconds for each target; whatever is found is left in the folder.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

#: Executions of a million in all; a table or a font takes thousands of times as long as a line.
SHARES = {
    "font": 3_000,
    "table": 2_000,
    "panel": 45_000,
    "fit": 80_000,
    "readings": 80_000,
    "board": 80_000,
    "recording": 140_000,
    "message": 190_000,
    "stored_table": 190_000,
    "line": 190_000,
}


def main(millions: float, folder: Path) -> int:
    """Run all targets; return how many found something."""
    found = 0
    for number, (target, share) in enumerate(SHARES.items(), start=1):
        runs, begun_s = round(share * millions), time.monotonic()
        words = [f"-runs={runs}", "-max_len=6000", f"-seed={number}", f"-artifact_prefix={folder}/{target}-"]
        done = subprocess.run(
            [sys.executable, "-m", "tests.fuzz", target, *words, "-timeout=20", "-rss_limit_mb=3000"],
            capture_output=True,
            text=True,
            errors="replace",
            check=False,
        )
        counted = re.findall(r"^#(\d+)\s", done.stderr, re.MULTILINE)
        took_s = time.monotonic() - begun_s
        said = "nothing" if done.returncode == 0 else f"SOMETHING, see {folder}"
        sys.stdout.write(
            f"{target:14s} {int(counted[-1]) if counted else 0:>10,d} runs {took_s:6.0f} s  {said}\n"
        )
        sys.stdout.flush()
        if done.returncode:
            found += 1
            (folder / f"{target}.log").write_text(done.stderr[-20_000:])
    return found


if __name__ == "__main__":
    given = sys.argv[1:]
    into = Path(given[1] if len(given) > 1 else tempfile.mkdtemp(prefix="needlewright-fuzz-"))
    into.mkdir(parents=True, exist_ok=True)
    sys.exit(main(float(given[0]) if given else 10.0, into))
