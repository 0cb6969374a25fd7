"""Fonts named from the panel's folder: found from there, kept so, and nothing outside of it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gaugecore.errors import DesignError, DocumentError
from gaugecore.panel.document import Panel
from gaugecore.panel.plates import plates_of
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import load_panel, save_panel


def with_font(font_file: str) -> Panel:
    panel = starter_panel("Desk")
    one = panel.instruments[0]
    face = one.face.model_copy(update={"font_file": font_file})
    return panel.with_instrument(one.model_copy(update={"face": face}))


def font_of(panel: Panel) -> str:
    return panel.instruments[0].face.font_file


def written(path: Path) -> str:
    found = json.loads(path.read_text(encoding="utf-8"))["instruments"][0]["face"]["font_file"]
    assert isinstance(found, str)
    return found


def test_a_font_below_the_panel_moves_with_it(tmp_path: Path) -> None:
    here, there = tmp_path / "here", tmp_path / "there"
    here.mkdir()
    save_panel(with_font("fonts/plain.ttf"), here / "a.panel.json")
    assert font_of(load_panel(here / "a.panel.json")) == str(here.resolve() / "fonts" / "plain.ttf")
    save_panel(load_panel(here / "a.panel.json"), here / "a.panel.json")
    assert written(here / "a.panel.json") == "fonts/plain.ttf"
    here.rename(there)
    assert font_of(load_panel(there / "a.panel.json")) == str(there.resolve() / "fonts" / "plain.ttf")


def test_a_whole_path_stays_as_it_is(tmp_path: Path) -> None:
    elsewhere = str(tmp_path.resolve() / "elsewhere" / "plain.ttf")
    (tmp_path / "desk").mkdir()
    path = tmp_path / "desk" / "a.panel.json"
    save_panel(with_font(elsewhere), path)
    assert written(path) == font_of(load_panel(path)) == elsewhere


def test_a_font_that_is_a_link_round_in_a_circle_keeps_no_panel_from_opening(tmp_path: Path) -> None:
    (tmp_path / "a.ttf").symlink_to("b.ttf")
    (tmp_path / "b.ttf").symlink_to("a.ttf")
    path = tmp_path / "a.panel.json"
    save_panel(with_font("a.ttf"), path)
    panel = load_panel(path)
    with pytest.raises(DesignError, match="font"):
        plates_of(panel.instruments[0])


@pytest.mark.parametrize("font_file", ["../plain.ttf", "fonts/../../plain.ttf"])
def test_a_relative_path_out_of_the_folder_is_refused(font_file: str, tmp_path: Path) -> None:
    path = tmp_path / "a.panel.json"
    save_panel(with_font(font_file), path)
    with pytest.raises(
        DocumentError, match=r"instruments\.0\.face\.font_file.*outside of the panel's folder|outside"
    ):
        load_panel(path)
