"""The page on supply keeps its word: its example is what the program reads, and is the sample's."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from gaugecore.drawing.svg import to_svg
from gaugecore.movement.link_picture import explain_link
from gaugecore.movement.train import CrankLink
from gaugecore.panel.store import load_panel
from gaugecore.supply.facts import string_facts, wire_facts
from gaugecore.supply.leds import LedString
from gaugecore.supply.meter import MeterReading
from gaugecore.supply.source import Supply
from gaugecore.supply.wires import Wire

ROOT = Path(__file__).parent.parent.parent


def example(page: str) -> str:
    (found,) = re.findall(r"```json\n(.+?)```", (ROOT / "docs" / page).read_text("utf-8"), re.DOTALL)
    return str(found)


def test_the_example_is_the_samples_supply_with_a_wire() -> None:
    supply = Supply.model_validate_json(example("supply.md"))
    sample = load_panel(ROOT / "samples" / "ferry-bridge.panel.json").supply
    assert supply.model_copy(update={"wires": ()}) == sample
    assert string_facts(supply)[0].each_ma == pytest.approx(17.0)
    # 1 m of 22 AWG at 52.96 mOhm/m (a university's table of wire) and 450 mA
    assert wire_facts(supply, [])[0].far_v == pytest.approx(5.0 - 0.05296 * 0.45, abs=1e-4)


@pytest.mark.parametrize("part", [LedString, Wire, MeterReading])
def test_every_field_is_on_the_page(part: type[LedString] | type[Wire] | type[MeterReading]) -> None:
    page = (ROOT / "docs" / "supply.md").read_text("utf-8")
    for field in part.model_fields:
        if field not in ("name", "note"):
            assert f"`{field}`" in page, field


def test_the_example_of_a_link_is_one_and_every_field_is_explained() -> None:
    page = (ROOT / "docs" / "movement.md").read_text("utf-8")
    link = CrankLink.model_validate_json(example("movement.md"))
    assert set(json.loads(example("movement.md"))) == set(CrankLink.model_fields)
    for field in CrankLink.model_fields:
        assert f"`{field}`" in page or field == "kind", field
    assert (ROOT / "docs" / "pictures" / "crank-link.svg").read_bytes() == to_svg(explain_link(link))
