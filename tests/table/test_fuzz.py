"""The C header fuzzed for coverage: any raw value stays inside the limits and never steps back."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzzing import fuzz
from tests.table import fuzz_target
from tests.table.catalogue import catalogue

#: Far fewer than the benchmark's.
_RUNS = 30_000


@pytest.mark.slow
def test_no_raw_value_the_fuzzer_finds_leaves_the_limits_or_steps_back(tmp_path: Path) -> None:
    tables = catalogue()
    found = fuzz(fuzz_target.build(tmp_path, tables), runs=_RUNS, seeds=fuzz_target.seeds(tables))
    assert found.runs >= _RUNS
    assert found.corpus > len(tables)
