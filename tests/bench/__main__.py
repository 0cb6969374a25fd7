"""``python -m tests.bench [ROOM …]``: run the benchmarks, each against its named rivals in the same run."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path


def main(rooms: list[str]) -> int:
    """Run the benchmarks of the rooms named, all of them when none is."""
    there = sorted(path.stem.removeprefix("bench_") for path in Path(__file__).parent.glob("bench_*.py"))
    unknown = [room for room in rooms if room not in there]
    if unknown:
        sys.stderr.write(f"no benchmark of {unknown[0]!r}; there are: {', '.join(there)}\n")
        return 2
    for room in rooms or there:
        importlib.import_module(f"tests.bench.bench_{room}").run()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
