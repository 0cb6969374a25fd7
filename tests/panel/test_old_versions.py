"""Files as earlier versions saved them; they stay as they are for good, and open for good."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gaugecore.panel.document import VERSION
from gaugecore.panel.store import load_panel, panel_text, parse_panel

OLD = Path(__file__).with_name("old")
FILES = sorted(OLD.glob("version-*.panel.json"))


def test_there_is_a_file_of_every_version() -> None:
    assert {json.loads(path.read_text("utf-8"))["version"] for path in FILES} == set(range(1, VERSION + 1))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_an_old_file_opens_and_keeps_what_it_says(path: Path) -> None:
    panel = load_panel(path)
    assert panel.version == VERSION
    assert parse_panel(panel_text(panel)) == panel
    ids = [instrument["id"] for instrument in json.loads(path.read_text("utf-8"))["instruments"]]
    assert [instrument.id for instrument in panel.instruments] == ids
    assert any(instrument.calibration.fit is not None for instrument in panel.instruments)
