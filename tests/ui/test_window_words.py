"""What the window says can be done in the window: no verb and no option of the terminal is left in it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import gaugecore
import needlewright
from gaugecore.panel.checks import check_panel
from gaugecore.panel.document import Panel
from gaugecore.panel.starter import starter_panel
from needlewright.ui.desk import Stage
from needlewright.ui.findings_list import details
from needlewright.ui.window_words import window_words

_ENGINE = sorted(Path(gaugecore.__file__).parent.rglob("*.py"))
_SHARED = [
    Path(needlewright.__file__).parent / name
    for name in ("upload_job.py", "table_files.py", "sheet_files.py", "plate_files.py", "paper_prints.py")
]
_TERMINAL = re.compile(r"--[a-z]|needlewright [a-z]|set measured")


def _texts(source: Path) -> Iterator[str]:
    """Yield every text of a module but its docstrings, with {} for what is filled in."""
    tree = ast.parse(source.read_text("utf-8"))
    parts = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
    docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if id(node) in parts or id(node) in docs:
            continue
        if isinstance(node, ast.JoinedStr):
            yield "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


@pytest.mark.parametrize("source", [*_ENGINE, *_SHARED], ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_every_hint_for_the_terminal_has_words_for_the_window(source: Path) -> None:
    hints = [text for text in _texts(source) if _TERMINAL.search(text) and "\n" not in text]
    assert [said for said in map(window_words, hints) if _TERMINAL.search(said)] == []


def test_findings_name_their_place_as_the_forms_do() -> None:
    for panel in (starter_panel("Desk"), Panel(title="Desk")):
        for finding in check_panel(panel):
            said = details(finding)
            assert not _TERMINAL.search(said), said
            assert "instruments." not in said


def test_the_strip_says_what_to_tick(make_window: Any) -> None:
    window = make_window(starter_panel("Desk"))
    window.strip.say("the file is there already; accepted: another folder, or --force to replace")
    assert window.strip.text.endswith("or tick “Replace files that are there already”")


def test_a_recording_without_an_instrument_to_follow_it_is_refused_in_a_sentence(
    make_window: Any, tmp_path: Path
) -> None:
    path = tmp_path / "trip.csv"
    path.write_text("time_s,fuel\n0,1\n1,2\n", encoding="utf-8")
    window = make_window(Panel(title="Desk"))
    window.commands.take_file(path)
    assert window.strip.text.startswith("There is no instrument yet that trip.csv could be for")


def test_a_long_recording_shows_that_it_is_worked_out_and_can_be_called_off(
    make_window: Any, tmp_path: Path, qtbot: Any
) -> None:
    path = tmp_path / "trip.csv"
    rows = "".join(f"{at / 50:.2f},{at % 100}\n" for at in range(20_000))
    path.write_text("time_s,dial-1\n" + rows, encoding="utf-8")
    window = make_window(starter_panel("Desk"))
    window.commands.take_file(path)
    assert window.desk.stage is Stage.MOVEMENT
    box = window.stages.currentWidget().response
    assert box._working.isVisible()
    assert box._figures.text().startswith("Working out")
    box._working.findChild(type(box._open)).click()
    assert box._trace.currentData() == "step"
    qtbot.waitUntil(lambda: box.has_answer and box._working.isHidden(), timeout=30_000)
    assert box._shown.replayed.time_s[-1] < 10.0
