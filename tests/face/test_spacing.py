"""Room between characters and between numerals: kept by single strokes, checked for what is set otherwise."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, product
from pathlib import Path
from typing import Any

import matplotlib
import pytest
from shapely import LineString, unary_union

from gaugecore.drawing.glyphs import glyph
from gaugecore.drawing.lettering import polylines_of, width_mm
from gaugecore.face.face import DetentMark, Face, Legend, SecondScale
from gaugecore.face.layout import lay_out_face
from gaugecore.face.presets import preset, preset_names
from gaugecore.face.readability import check_face
from gaugecore.findings import Finding, Severity
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import load_panel
from tests.face.designs import RUDDER

SAMPLES = Path(__file__).parents[2] / "samples"
FONT = str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf")


def clear_mm(text: str, *, height_mm: float, stroke_mm: float) -> float:
    """Return the least clear distance of neighbours, measured by shapely on what is drawn."""
    lines = iter(polylines_of(text, height_mm=height_mm, stroke_mm=stroke_mm))
    counts = [len(shape.strokes) for c in text if (shape := glyph(c)) is not None]
    drawn = [unary_union([LineString(next(lines)) for _ in range(n)]) for n in counts]
    return min(float(a.distance(b)) for a, b in pairwise(drawn)) - stroke_mm


@pytest.mark.parametrize("stroke_of_height", [0.08, 0.1, 1 / 8, 1 / 6])
@pytest.mark.parametrize("text", ["FLAPS", "SHAFT", "LA", "RT", "100", "400", "AVAL", "KXY", "l/min", "0.5"])
def test_neighbours_are_a_stroke_and_a_quarter_apart_at_least(text: str, stroke_of_height: float) -> None:
    stroke_mm = 4.0 * stroke_of_height
    assert clear_mm(text, height_mm=4.0, stroke_mm=stroke_mm) >= 1.25 * stroke_mm - 0.003


def test_what_was_wide_enough_stands_as_the_font_has_it() -> None:
    # Hershey simplex roman: H is 14 units wide and advances by 22, of 21 units of height
    assert width_mm("HH", height_mm=21.0) == pytest.approx(36.0)


def findings(face: Face, rule: str) -> list[Finding]:
    return [finding for finding in check_face(face) if finding.rule == rule]


def test_numerals_that_read_as_one_are_a_caution_and_half_a_digit_between_them_is_enough() -> None:
    face = starter_panel("Desk").instruments[0].face
    assert findings(face, "numerals-run-together") == []
    assert face.numerals is not None
    found = {}
    for tenths in range(140, 190):
        numerals = face.numerals.model_copy(update={"radius_mm": tenths / 10.0})
        found[tenths] = findings(face.model_copy(update={"numerals": numerals}), "numerals-run-together")
    near = found[160][0]
    assert near.severity is Severity.CAUTION
    assert near.place == "face.numerals"
    assert near.message == "The numerals at 40 and 60 stand so close that they read as one."
    # a 0 is 14 units wide of 21 (Hershey simplex roman), and a stroke more as drawn
    half_digit_mm = (face.numerals.height_mm * 14 / 21 + (face.numerals.stroke_mm or 0.0)) / 2
    assert near.wanted == f"at least {half_digit_mm:.2f} mm, half a digit's width"
    assert found[182] == []


def test_numerals_that_stand_above_each_other_do_not_read_as_one() -> None:
    (shaft,) = (
        i for i in load_panel(SAMPLES / "ferry-bridge.panel.json").instruments if i.id == "shaft-speed"
    )
    # 20 to 40 stand in a column at the right, some 3 mm from base line to capitals
    assert findings(shaft.face, "numerals-run-together") == []


def with_font(*texts: str) -> Face:
    legends = tuple(Legend(text=text, y_mm=-12.0 - 6.0 * n) for n, text in enumerate(texts))
    return RUDDER.model_copy(update={"font_file": FONT, "legends": legends, "numerals": None})


def test_outlines_closer_than_a_stroke_are_found_with_the_pair() -> None:
    # by the font's own advances the arms of two Ts touch; an I and an L stand well apart
    found = findings(with_font("BATTERY", "HILL"), "characters-close")
    assert [finding.place for finding in found] == ["face.legends.0"]
    assert "in 'TT'" in found[0].message
    assert found[0].severity is Severity.NOTE


def test_letters_along_an_arc_keep_their_distance_whatever_the_stroke() -> None:
    for stroke_mm, radius_mm in product((None, 0.5, 0.7), (9.0, 22.0)):
        legend = Legend(
            text="COOLANT",
            height_mm=4.0,
            stroke_mm=stroke_mm,
            arc_radius_mm=radius_mm,
            turn_deg=180.0,
            heads_in=True,
        )
        face = RUDDER.model_copy(update={"legends": (legend,), "numerals": None})
        assert findings(face, "characters-close") == []


def all_faces() -> Iterator[tuple[str, Face]]:
    for name in preset_names():
        yield name, preset(name)
    for path in sorted(SAMPLES.glob("*.panel.json")):
        for instrument in load_panel(path).instruments:
            yield instrument.id, instrument.face


@pytest.mark.parametrize(
    ("name", "face"), list(all_faces()), ids=lambda one: one if isinstance(one, str) else ""
)
def test_no_face_of_ours_has_a_caution_or_crowds_its_numerals(name: str, face: Face) -> None:
    found = check_face(face)
    assert [f for f in found if f.severity is not Severity.NOTE] == []
    assert {f.rule for f in found} & {"crowded", "characters-close", "stroke-to-height"} == set()


def test_a_tolerance_is_not_hidden_by_a_base_arc() -> None:
    rings = RUDDER.graduations.model_copy(update={"base_arc_width_mm": 0.6})
    mark = DetentMark(value=0.0, tolerance_deg=3.0, show_tolerance=True)
    face = RUDDER.model_copy(update={"graduations": rings, "detent_marks": (mark,)})
    drawn = {e.part: e for e in lay_out_face(face, name="f", title="f").elements}
    arc: Any = drawn["detent_marks.0.tolerance"]
    base: Any = drawn["graduations.base_arc"]
    clear = arc.radius_mm - arc.width_mm / 2 - (base.radius_mm + base.width_mm / 2)
    assert clear >= arc.width_mm / 2
    rings = rings.model_copy(update={"base_arc_width_mm": 0.0})
    plain = RUDDER.model_copy(update={"graduations": rings, "detent_marks": (mark,)})
    drawn = {e.part: e for e in lay_out_face(plain, name="f", title="f").elements}
    arc = drawn["detent_marks.0.tolerance"]
    assert arc.radius_mm == RUDDER.graduations.outer_radius_mm


def test_each_ring_keeps_its_own_numerals_apart() -> None:
    face = preset("duplex")
    second = face.second
    assert isinstance(second, SecondScale)
    assert second.numerals is not None
    tight = second.numerals.model_copy(update={"radius_mm": 6.0})
    face = face.model_copy(update={"second": second.model_copy(update={"numerals": tight})})
    places = {f.place for f in check_face(face) if f.rule in ("numerals-run-together", "runs-into")}
    assert "face.second.numerals" in places
