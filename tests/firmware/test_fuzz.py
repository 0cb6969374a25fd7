"""The bench program fuzzed for coverage: never a pulse outside the limits, never a change by a bad line."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.firmware import fuzz_words
from tests.fuzzing import fuzz

#: Far fewer than the benchmark's: enough to play every seed and its near relatives.
_RUNS = 6000


@pytest.mark.slow
def test_no_line_the_fuzzer_finds_moves_a_needle_outside_its_limits(tmp_path: Path) -> None:
    program = fuzz_words.build(tmp_path)
    found = fuzz(program, runs=_RUNS, seeds=fuzz_words.seeds(), words=fuzz_words.WORDS)
    assert found.runs >= _RUNS
    assert found.corpus > len(fuzz_words.seeds())
