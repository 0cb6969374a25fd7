"""A save can be killed at any instant: the old file or the new one is there, whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from gaugecore.panel.store import load_panel
from tests.panel.killed_save import save_killed_at, system_calls_of_a_save

SAMPLE = Path(__file__).parents[2] / "samples" / "flap-indicator.panel.json"


@pytest.mark.slow
def test_a_save_killed_at_every_system_call_leaves_the_old_or_the_new_file(tmp_path: Path) -> None:
    new = load_panel(SAMPLE)
    old = new.model_copy(update={"title": "Before"})
    target = tmp_path / "desk.panel.json"
    target.write_text(old.model_dump_json(), "utf-8")
    calls = system_calls_of_a_save(SAMPLE, target, tmp_path / "calls")
    assert load_panel(target) == new
    names = [name for name, _ in calls]
    assert "fsync" in names[: names.index("rename")]  # the data is on the disk before its name is
    left_behind = set()
    for call in calls:
        target.write_text(old.model_dump_json(), "utf-8")
        finished = save_killed_at(call, SAMPLE, target)
        left = load_panel(target)
        assert left in (old, new)
        assert left == new or not finished
        left_behind.add("new" if left == new else "old")
    assert left_behind == {"old", "new"}
