"""A short fuzz of every reader; the long one is run by hand: ``python -m tests.fuzz TARGET -runs=N``."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.fuzz.targets import TARGETS

ROOT = Path(__file__).parents[2]
RUNS = 10_000
#: Targets of which one execution takes milliseconds.
FEWER = {"table": 300, "font": 500, "board": 2_000}


@pytest.mark.slow
@pytest.mark.parametrize("target", TARGETS)
def test_a_short_fuzz_finds_nothing(target: str, tmp_path: Path) -> None:
    runs = FEWER.get(target, RUNS)
    words = [f"-runs={runs}", "-max_len=8000", "-seed=1", f"-artifact_prefix={tmp_path}/"]
    done = subprocess.run(
        [sys.executable, "-m", "tests.fuzz", target, *words],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    assert f"Done {runs}" in done.stderr or f"#{runs}\tDONE" in done.stderr
