"""The ferry's plates on sheets and on paper: named, packed, and clear of each other."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from shapely import MultiLineString, Polygon, union_all

from gaugecore.drawing.elements import Strokes
from gaugecore.drawing.kerf import cut_loops
from gaugecore.drawing.pages import Page
from gaugecore.drawing.paper import paper_pages
from gaugecore.drawing.shapes import area_of, polygon_of
from gaugecore.panel.document import Panel
from gaugecore.panel.plates import plates_of
from gaugecore.panel.sheets import sheets_of
from gaugecore.panel.store import load_panel


def ferry() -> Panel:
    return load_panel(Path(__file__).parents[2] / "samples" / "ferry-bridge.panel.json")


@pytest.mark.slow
def test_every_piece_of_a_sheet_carries_its_name_or_has_it_close_by() -> None:
    for sheet in sheets_of(ferry()):
        labels = [e for e in sheet.drawing.elements if isinstance(e, Strokes) and e.part.endswith("label")]
        assert sorted(label.text for label in labels) == sorted(sheet.pieces)
        cuts = [(part.split(".")[0], polygon_of(loop).exterior) for _, part, loop in cut_loops(sheet.drawing)]
        for label in labels:
            word = MultiLineString(label.polylines)
            distances = sorted((line.distance(word), name) for name, line in cuts)
            # no cut goes through a name; it stands in its piece, or that is what is cut nearest to it
            assert distances[0][0] > 0.0
            inside = any(Polygon(line).contains(word) for name, line in cuts if name == label.text)
            assert inside or distances[0][1] == label.text


@pytest.mark.slow
def test_the_plates_of_the_ferry_fill_four_pages_and_keep_clear_of_each_other() -> None:
    drawings = [drawing for instrument in ferry().instruments for drawing in plates_of(instrument)]
    pages = paper_pages(drawings, Page.A4, title="Ferry")
    assert len(pages) == 4
    for page in pages:
        plates_by_name: dict[str, list[Any]] = {}
        for element in page.elements:
            name, _, part = element.part.partition(".")
            if name not in ("bar", "head") and part != "crop":
                plates_by_name.setdefault(name, []).append(area_of(element))
        whole = [union_all(areas).convex_hull for areas in plates_by_name.values()]
        for one, other in combinations(whole, 2):
            # room for scissors
            assert one.distance(other) >= 5.0
