"""Hatched sectors, limit lines, triangles, legends along an arc, icons, apertures; and their refusals."""

from __future__ import annotations

import math
from typing import Any

import pytest

from gaugecore.drawing.elements import AnyElement, Line, Operation, Outline
from gaugecore.drawing.ink import ink_of
from gaugecore.errors import DesignError
from gaugecore.face.face import (
    Aperture,
    Face,
    Icon,
    IndexTriangle,
    Legend,
    LimitLine,
    LubberLine,
    RangeMeaning,
    Sector,
)
from gaugecore.face.law_colours import LAW_COLOURS, is_lawful
from gaugecore.face.layout import lay_out_face
from gaugecore.face.readability import check_face
from gaugecore.polar import xy_mm_to_dial
from tests.face.designs import FUEL


def drawn(**update: Any) -> list[AnyElement]:
    face = FUEL.model_copy(update=update)
    return list(lay_out_face(face, name="f", title="F").elements)


def parts(elements: list[AnyElement], prefix: str) -> list[AnyElement]:
    return [e for e in elements if e.part.startswith(prefix)]


def test_hatching_stays_inside_its_sector() -> None:
    sector = Sector(
        low_value=0.0,
        high_value=0.3,
        inner_radius_mm=22.0,
        outer_radius_mm=25.0,
        colour="#b3261e",
        hatched=True,
    )
    lines = parts(drawn(sectors=(sector,)), "sectors.0.hatch")
    assert len(lines) > 5
    for line in lines:
        assert isinstance(line, Line)
        for x, y in (line.start_mm, line.end_mm):
            deg, radius_mm = xy_mm_to_dial(x, y)
            # 0 to 0.3 of an arc from -60° to 60°
            assert -60.0 - 1e-9 <= (deg + 180.0) % 360.0 - 180.0 <= -24.0 + 1e-9
            assert 22.0 - 1e-9 <= radius_mm <= 25.0 + 1e-9


def test_a_limit_line_is_radial_at_its_value() -> None:
    limit = LimitLine(value=0.75, inner_radius_mm=20.0, outer_radius_mm=26.0)
    (line,) = parts(drawn(limit_lines=(limit,)), "limit_lines")
    assert isinstance(line, Line)
    assert xy_mm_to_dial(*line.start_mm) == pytest.approx((30.0, 26.0))
    assert xy_mm_to_dial(*line.end_mm) == pytest.approx((30.0, 20.0))


def test_a_legend_along_an_arc_is_centred_on_its_angle() -> None:
    for heads_in in (False, True):
        legend = Legend(text="TANK", height_mm=3.0, arc_radius_mm=15.0, turn_deg=180.0, heads_in=heads_in)
        letters = parts(drawn(legends=(legend,)), "legends.0")
        assert len(letters) == 4
        boxes = [ink.box for letter in letters if (ink := ink_of(letter)) is not None]
        assert min(b.left_mm for b in boxes) == pytest.approx(-max(b.right_mm for b in boxes), abs=1.0)
        first_to_last = boxes[-1].left_mm - boxes[0].left_mm
        # heads inward, the lower half reads from left to right
        assert (first_to_last > 0.0) == heads_in


def test_triangles_and_the_lubber_line_stand_on_their_angles() -> None:
    elements = drawn(
        index_triangles=(IndexTriangle(dial_deg=90.0, radius_mm=20.0),),
        lubber_line=LubberLine(dial_deg=180.0),
    )
    (triangle,) = parts(elements, "index_triangles")
    assert isinstance(triangle, Outline)
    assert triangle.loops[0][0][:2] == pytest.approx((20.0, 0.0))
    (lubber,) = parts(elements, "lubber_line")
    assert isinstance(lubber, Line)
    assert lubber.start_mm == pytest.approx((0.0, -20.0), abs=1e-9)


def test_an_aperture_is_cut_with_round_corners() -> None:
    window = Aperture(x_mm=0.0, y_mm=-12.0, width_mm=14.0, height_mm=6.0, corner_mm=1.0)
    (cut,) = parts(drawn(apertures=(window,)), "apertures")
    assert cut.operation is Operation.CUT
    ink = ink_of(cut, solid=True)
    assert ink is not None
    box = ink.box
    assert (box.left_mm, box.bottom_mm, box.right_mm, box.top_mm) == pytest.approx(
        (-7.0, -15.0, 7.0, -9.0), abs=1e-6
    )
    assert area(ink.loops[0]) == pytest.approx(14.0 * 6.0 - (4.0 - math.pi) * 1.0, abs=0.01)


def area(loop: Any) -> float:
    x, y = loop[:, 0], loop[:, 1]
    return abs(float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum()) / 2.0)


def test_a_window_that_is_all_corner_is_round() -> None:
    window = Aperture(y_mm=-12.0, width_mm=6.0, height_mm=6.0, corner_mm=3.0)
    (cut,) = parts(drawn(apertures=(window,)), "apertures")
    ink = ink_of(cut, solid=True)
    assert ink is not None
    assert area(ink.loops[0]) == pytest.approx(9.0 * math.pi, abs=0.03)


def test_an_icon_is_filled_by_winding_as_its_path_data_mean_it() -> None:
    square, hole, island = "M0 0 H8 V8 H0 Z", "M2 2 V6 H6 V2 Z", "M2 2 H6 V6 H2 Z"
    (ring,) = parts(drawn(icons=(Icon(path=square + hole),)), "icons")
    (whole,) = parts(drawn(icons=(Icon(path=square + island),)), "icons")
    assert isinstance(ring, Outline)
    assert isinstance(whole, Outline)
    assert (len(ring.loops), len(whole.loops)) == (2, 1)


def test_an_icon_is_scaled_to_its_size_upright() -> None:
    icon = Icon(path="M0 0 H8 V4 H0 Z M2 1 C2 2 4 2 4 1 Z", x_mm=3.0, y_mm=-10.0, size_mm=6.0)
    (shape,) = parts(drawn(icons=(icon,)), "icons")
    assert isinstance(shape, Outline)
    ink = ink_of(shape)
    assert ink is not None
    box = ink.box
    assert (box.left_mm, box.bottom_mm, box.right_mm, box.top_mm) == pytest.approx(
        (0.0, -11.5, 6.0, -8.5), abs=1e-6
    )
    # y runs down in path data: the first corner is the top left one
    assert shape.loops[0][0][:2] == pytest.approx((0.0, -8.5))


@pytest.mark.parametrize(
    "path", ["", "M", "banana", "M0 0", "M1 1 L1 1 Z", "M0 0 L4 4 L2 2 Z", "M0 0 L1 Q", "M0 0 L1e999 0 Z"]
)
def test_a_path_that_is_none_is_refused(path: str) -> None:
    with pytest.raises(DesignError, match=r"^icons\.0\.path: the path cannot be understood as an outline"):
        drawn(icons=(Icon(path=path),))


def test_the_laws_colours_are_lawful_and_others_are_noted() -> None:
    for meaning, colour in LAW_COLOURS.items():
        assert is_lawful(colour, meaning)
        assert all(not is_lawful(colour, other) for other in LAW_COLOURS if other is not meaning)
    sector = Sector(
        low_value=0.0,
        high_value=0.1,
        inner_radius_mm=26.4,
        outer_radius_mm=28.0,
        colour="#2060c0",
        meaning=RangeMeaning.LIMIT,
    )
    face: Face = FUEL.model_copy(update={"sectors": (sector,)})
    assert "range-colour" in {finding.rule for finding in check_face(face)}
