"""Whatever a panel file holds, there is a panel or one sentence; never a traceback, never half a panel."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gaugecore.errors import DocumentError, NeedlewrightError
from gaugecore.panel.checks import check_panel
from gaugecore.panel.document import Panel
from gaugecore.panel.store import panel_text, parse_panel

SAMPLE = (Path(__file__).parents[2] / "samples" / "ferry-bridge.panel.json").read_text("utf-8")

leaves = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.sampled_from([1e308, -1e308, 5e-324, 2**63, 10**40, "", "\x00", "\ud800", "<&>\"'", "😀", "a" * 5000]),
    st.text(max_size=20),
)
anything = st.recursive(
    leaves,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=10,
)


def accepted_or_refused(text: str) -> Panel | None:
    try:
        return parse_panel(text)
    except DocumentError as error:
        said = str(error)
    assert "\n" not in said
    assert len(said) < 20_000
    return None


@given(st.text())
def test_any_text(text: str) -> None:
    assert accepted_or_refused(text) is None


@given(anything)
def test_any_json(data: Any) -> None:
    assert accepted_or_refused(json.dumps(data)) is None


def paths(data: Any, here: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = [here] if here else []
    if isinstance(data, dict):
        for key, value in data.items():
            found += paths(value, (*here, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            found += paths(value, (*here, index))
    return found


PATHS = paths(json.loads(SAMPLE))


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(PATHS), anything), min_size=1, max_size=3))
def test_a_panel_with_anything_anywhere_is_refused_or_can_be_checked(
    changes: list[tuple[tuple[Any, ...], Any]],
) -> None:
    data = json.loads(SAMPLE)
    for path, value in changes:
        place: Any = data
        try:
            for step in path[:-1]:
                place = place[step]
            place[path[-1]] = value
        except (KeyError, IndexError, TypeError):
            continue  # an earlier change took the place away
    panel = accepted_or_refused(json.dumps(data))
    if panel is None:
        return
    assert parse_panel(panel_text(panel)) == panel
    try:
        findings = check_panel(panel)
    except NeedlewrightError as error:
        pytest.fail(f"a check must find, not raise: {error}")
    assert all("\n" not in finding.message for finding in findings)


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_panel_file_with_damaged_bytes_is_refused_or_read(data: st.DataObject) -> None:
    content = bytearray(SAMPLE.encode())
    for _ in range(data.draw(st.integers(1, 5))):
        at = data.draw(st.integers(0, len(content) - 1))
        content[at] = data.draw(st.integers(0, 255))
    accepted_or_refused(content.decode("utf-8", "replace"))
