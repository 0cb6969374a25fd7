"""The window on a screen, worked by key and mouse events that come through the X server like a person's."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from gaugecore.findings import Severity
from gaugecore.panel.checks import check_panel
from gaugecore.panel.document import Panel
from gaugecore.panel.store import load_panel, save_panel
from needlewright.cli.main import main
from tests.ui.real_screen import PATIENCE_S, Hands, screen


@pytest.fixture
def hands(tmp_path: Path) -> Iterator[Hands]:
    save_panel(Panel(title="Floatplane"), tmp_path / "floatplane.panel.json")
    with screen() as display:
        hands = Hands(display, tmp_path / "floatplane.panel.json", tmp_path / "home")
        try:
            yield hands
        finally:
            hands.process.kill()
            hands.process.communicate()


def _dial(panel: str) -> dict[str, Any]:
    dials = json.loads(panel)["instruments"]
    return dict(dials[0]) if dials else {}


def _face(panel: str) -> dict[str, Any]:
    return dict(_dial(panel)["face"])


def _fill(hands: Hands, field: str, text: str) -> None:
    """Click into a field, replace what is in it, and go on to the next."""
    hands.click(field)
    hands.keys("ctrl+a")
    hands.type(text)
    hands.keys("Return")


@pytest.mark.slow
def test_from_a_blank_panel_to_a_finished_flap_indicator_by_key_and_mouse(
    hands: Hands, tmp_path: Path
) -> None:
    hands.click("Add an instrument; the arrow begins from a preset")
    hands.until("panel", wanted=lambda panel: '"dial-1"' in panel)
    _fill(hands, "Short name", "flaps")
    _fill(hands, "Title", "Flap indicator")
    _fill(hands, "Unit", "deg")
    hands.click("Scale")
    _fill(hands, "Value, high", "40")
    hands.click("Scale")

    hands.click("Detent marks")
    for count, (value, label) in enumerate((("10", "T/O"), ("30", "LDG")), start=1):
        hands.click("Add detent mark")
        hands.until("panel", wanted=lambda panel, n=count: len(_face(panel)["detent_marks"]) == n)
        _fill(hands, "Value", value)
        _fill(hands, "Label", label)
        hands.click(f"Detent mark {count}")

    # the legend is chosen by a click on the dial, typed over at the side, and dragged to its place
    x_mm, y_mm = (_face(hands.ask("panel"))["legends"][0][name] for name in ("x_mm", "y_mm"))
    hands.click_spot((x_mm, y_mm))
    _fill(hands, "Text", "FLAPS")
    hands.drag((x_mm, y_mm), (x_mm, y_mm - 4.0))
    hands.until("panel", wanted=lambda panel: _face(panel)["legends"][0]["y_mm"] < y_mm - 3.0)
    moved_mm = _face(hands.ask("panel"))["legends"][0]["y_mm"]
    hands.keys("ctrl+z")
    hands.until("panel", wanted=lambda panel: _face(panel)["legends"][0]["y_mm"] == y_mm)
    hands.keys("ctrl+shift+z")
    hands.until("panel", wanted=lambda panel: _face(panel)["legends"][0]["y_mm"] == moved_mm)

    hands.keys("alt+5")
    _fill(hands, "Value, high", "40")
    hands.until("panel", wanted=lambda panel: _dial(panel)["raw"]["high_value"] == 40.0)
    hands.keys("alt+1")
    hands.ask("picture", str(tmp_path / "screen.png"))
    hands.keys("ctrl+s")
    hands.until("unsaved", wanted=lambda unsaved: unsaved is False)
    hands.keys("ctrl+q")
    assert hands.process.wait(PATIENCE_S) == 0

    (flaps,) = load_panel(tmp_path / "floatplane.panel.json").instruments
    assert (flaps.id, flaps.title, flaps.unit) == ("flaps", "Flap indicator", "deg")
    assert [(mark.value, mark.label) for mark in flaps.face.detent_marks] == [(10.0, "T/O"), (30.0, "LDG")]
    assert [(legend.text, legend.y_mm) for legend in flaps.face.legends] == [("FLAPS", moved_mm)]
    findings = check_panel(load_panel(tmp_path / "floatplane.panel.json"))
    assert [one.message for one in findings if one.severity is Severity.FAULT] == []
    assert main(["draw", str(tmp_path / "floatplane.panel.json"), "--out", str(tmp_path / "out")]) == 0
    assert (tmp_path / "out" / "flaps-face.svg").is_file()
