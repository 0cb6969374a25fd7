"""Older panels are brought up to date; the steps themselves come with the versions."""

from __future__ import annotations

import pytest

from gaugecore.errors import DocumentError
from gaugecore.panel import migrate


def test_steps_are_taken_one_version_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(migrate, "VERSION", 3)
    steps = {1: lambda d: {**d, "a": 1}, 2: lambda d: {**d, "b": d["a"] + 1}}
    assert migrate.migrated({"version": 1}, where="x", steps=steps) == {"version": 3, "a": 1, "b": 2}


def test_a_version_that_never_was_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(migrate, "VERSION", 3)
    with pytest.raises(DocumentError, match="never released"):
        migrate.migrated({"version": 2}, where="x", steps={})
