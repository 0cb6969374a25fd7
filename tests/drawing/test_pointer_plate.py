"""The pointer as a plate: its measures read back from the DXF, and measures that contradict each other."""

from __future__ import annotations

import math

import pytest

from gaugecore.drawing.dxf import to_dxf
from gaugecore.errors import DesignError
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.pointer_plate import draw_pointer
from tests.drawing.readback import dxf_document

NEEDLE = Pointer(length_mm=31.0, tail_mm=10.0)


def test_the_outline_has_the_pointers_measures() -> None:
    document = dxf_document(to_dxf(draw_pointer(NEEDLE, name="p", title="Needle")))
    (outline,) = document.modelspace().query("LWPOLYLINE[layer=='CUT']")
    points = outline.get_points("xy")
    assert max(y for _, y in points) == 31.0
    assert min(y for _, y in points) == -10.0
    tip = [x for x, y in points if y == 31.0]
    assert max(tip) - min(tip) == pytest.approx(NEEDLE.tip_width_mm)
    tail = [x for x, y in points if y == -10.0]
    assert max(tail) - min(tail) == pytest.approx(NEEDLE.tail_width_mm)
    arcs = [e for e in outline.virtual_entities() if e.dxftype() == "ARC"]
    assert [arc.dxf.radius for arc in arcs] == pytest.approx([4.0, 4.0])
    for arc in arcs:
        assert arc.dxf.center.magnitude == pytest.approx(0.0, abs=1e-6)
    # where the blade leaves the boss it is as wide as asked: half a chord of the boss
    blade = [x for x, y in points if y == pytest.approx(math.sqrt(4.0**2 - 1.2**2))]
    assert max(blade) == pytest.approx(1.2)
    (bore,) = document.modelspace().query("CIRCLE[layer=='CUT']")
    assert (bore.dxf.radius, bore.dxf.center.magnitude) == (1.0, 0.0)


def test_without_a_tail_the_boss_goes_all_round() -> None:
    drawing = draw_pointer(Pointer(length_mm=31.0), name="p", title="Needle")
    (outline,) = dxf_document(to_dxf(drawing)).modelspace().query("LWPOLYLINE[layer=='CUT']")
    assert min(y for _, y in outline.get_points("xy")) == pytest.approx(-4.0)


@pytest.mark.parametrize(
    ("update", "field"),
    [
        ({"length_mm": 3.0}, "length_mm"),
        ({"bore_mm": 8.0}, "bore_mm"),
        ({"blade_width_mm": 8.5}, "blade_width_mm"),
        ({"tail_width_mm": 9.0}, "tail_width_mm"),
    ],
)
def test_measures_that_do_not_fit_the_boss_are_refused(update: dict[str, float], field: str) -> None:
    with pytest.raises(DesignError, match=rf"^pointer\.{field}: does not fit the boss of 8 mm diameter"):
        draw_pointer(NEEDLE.model_copy(update=update), name="p", title="Needle")
