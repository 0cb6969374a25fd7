"""Panel files: what is saved comes back, and what is wrong is said, all of it, with its place."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from gaugecore.errors import DocumentError, OutputError
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import LARGEST_BYTES, load_panel, panel_text, parse_panel, save_panel

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.panel.json"))


@pytest.fixture
def data() -> dict[str, Any]:
    return dict(json.loads(panel_text(starter_panel("Desk"))))


def refusal(data: Any) -> str:
    with pytest.raises(DocumentError) as caught:
        parse_panel(json.dumps(data), where="desk.panel.json")
    assert "\n" not in str(caught.value)
    return str(caught.value)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_comes_back_as_it_was_saved(path: Path, tmp_path: Path) -> None:
    panel = load_panel(path)
    save_panel(panel, tmp_path / "again.panel.json")
    assert load_panel(tmp_path / "again.panel.json") == panel


def test_an_unknown_key_is_refused_with_its_path(data: dict[str, Any]) -> None:
    data["instruments"][0]["face"]["colour_of_the_sky"] = "#0000ff"
    assert "instruments.0.face.colour_of_the_sky: unknown key" in refusal(data)


def test_a_nan_is_refused_with_its_path(data: dict[str, Any]) -> None:
    data["instruments"][0]["face"]["diameter_mm"] = float("nan")
    assert "instruments.0.face.diameter_mm: must be a finite number, found nan" in refusal(data)


def test_an_infinity_hidden_in_a_large_exponent_is_refused(data: dict[str, Any]) -> None:
    text = json.dumps(data).replace('"diameter_mm": 60.0', '"diameter_mm": 1e999')
    with pytest.raises(DocumentError, match=r"instruments\.0\.face\.diameter_mm"):
        parse_panel(text)


def test_a_radius_of_zero_is_refused_with_what_is_accepted(data: dict[str, Any]) -> None:
    data["instruments"][0]["face"]["graduations"]["outer_radius_mm"] = 0
    said = refusal(data)
    assert "instruments.0.face.graduations.outer_radius_mm: must be greater than 0, found 0" in said


def test_an_arc_of_400_degrees_on_a_single_turn_dial_is_refused(data: dict[str, Any]) -> None:
    data["instruments"][0]["face"]["scale"].update(low_deg=-200, high_deg=200)
    assert "instruments.0.face.scale: the arc from -200° to 200° spans 400°" in refusal(data)


def test_every_fault_is_said_at_once(data: dict[str, Any]) -> None:
    data["tittle"] = data.pop("title")
    data["instruments"][0]["pointer"]["length_mm"] = -3
    data["instruments"][0]["id"] = "Dial One!"
    said = refusal(data)
    assert said.startswith("desk.panel.json: 4 faults: ")
    for path in (
        "title: this key is missing",
        "tittle: unknown key",
        "pointer.length_mm",
        "instruments.0.id",
    ):
        assert path in said


def test_the_path_into_a_choice_of_movements_names_only_keys_of_the_file(data: dict[str, Any]) -> None:
    data["instruments"][0]["movement"]["pulse_min_us"] = "600"
    assert "instruments.0.movement.pulse_min_us: " in refusal(data)


def test_a_number_given_as_text_is_refused_not_guessed_at(data: dict[str, Any]) -> None:
    data["instruments"][0]["face"]["diameter_mm"] = "60"
    assert "instruments.0.face.diameter_mm" in refusal(data)


def test_two_instruments_cannot_share_an_id(data: dict[str, Any]) -> None:
    data["instruments"].append(data["instruments"][0])
    assert "'dial-1' is used twice" in refusal(data)


def test_a_key_that_stands_twice_is_refused() -> None:
    with pytest.raises(DocumentError, match="'title' stands twice"):
        parse_panel('{"title": "a", "title": "b"}')


def test_a_newer_version_is_refused_with_the_way_out(data: dict[str, Any]) -> None:
    data["version"] = 99
    said = refusal(data)
    assert "newer Needlewright" in said
    assert "found 99" in said


@pytest.mark.parametrize("version", [None, 0, "1", True, 1.0])
def test_a_version_that_is_no_version_is_refused(data: dict[str, Any], version: Any) -> None:
    data["version"] = version
    assert "version: a panel has a version number" in refusal(data)


@pytest.mark.parametrize("other", [[], 3, "panel", None, {"format": "something-else", "version": 1}])
def test_another_kind_of_json_is_refused(other: Any) -> None:
    assert "not a panel" in refusal(other)


def test_text_that_is_not_json_is_refused_with_line_and_column() -> None:
    with pytest.raises(DocumentError, match=r"not JSON \(.*line 1 column 2"):
        parse_panel("{]")


def test_ten_thousand_levels_of_nesting_are_refused() -> None:
    with pytest.raises(DocumentError, match="nested too deep"):
        parse_panel('{"a":' * 10_000 + "1" + "}" * 10_000)


def test_a_number_of_ten_thousand_digits_is_refused(data: dict[str, Any]) -> None:
    text = json.dumps(data).replace('"diameter_mm": 60.0', '"diameter_mm": ' + "9" * 10_000)
    with pytest.raises(DocumentError):
        parse_panel(text)


@pytest.mark.parametrize("text", ["line\nbreak", "\x00", "x" * 201, "\u2028"])
def test_a_caption_with_control_characters_or_of_great_length_is_refused(
    data: dict[str, Any], text: str
) -> None:
    data["instruments"][0]["title"] = text
    assert "instruments.0.title" in refusal(data)


def test_a_lone_surrogate_is_refused(data: dict[str, Any]) -> None:
    data["title"] = "\ud800"
    assert "desk.panel.json" in refusal(data)


def test_a_file_larger_than_any_panel_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "large.panel.json"
    with path.open("wb") as file:
        file.truncate(LARGEST_BYTES + 1)
    with pytest.raises(DocumentError, match="too large for a panel"):
        load_panel(path)


def test_a_missing_file_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(DocumentError, match=r"none\.panel\.json: cannot read the file"):
        load_panel(tmp_path / "none.panel.json")


def test_a_file_that_is_not_text_is_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "binary.panel.json"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(DocumentError, match="not UTF-8"):
        load_panel(path)


def test_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "bom.panel.json"
    path.write_bytes(b"\xef\xbb\xbf" + panel_text(starter_panel("Desk")).encode())
    assert load_panel(path).title == "Desk"


def test_a_save_that_cannot_be_made_leaves_the_old_file_and_no_litter(tmp_path: Path) -> None:
    path = tmp_path / "desk.panel.json"
    path.mkdir()  # a folder in its place: refused even where every permission is given
    with pytest.raises(OutputError, match="cannot write the file"):
        save_panel(starter_panel("Desk"), path)
    assert [p.name for p in tmp_path.iterdir()] == ["desk.panel.json"]


def test_the_fit_in_force_is_the_last_one_there_is() -> None:
    assert starter_panel("Desk").instruments[0].calibration.fit is None
