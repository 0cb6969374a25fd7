"""Mass, centre and inertia against closed forms and against a mesh library on the same outline."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError
from shapely.geometry import Polygon

from gaugecore.drawing.elements import Circle, Operation, Outline, Vertex
from gaugecore.errors import DesignError
from gaugecore.movement.balance import balancing_tail_mm, balancing_weight_g
from gaugecore.movement.mass import Mass, circle_moments, loop_moments, mass_of
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.pointer_plate import draw_pointer, pointer_loop
from gaugecore.polar import bulge_of

NEEDLE = Pointer(length_mm=25.0, tail_mm=8.0, bore_mm=2.0)


def rectangle(left: float, bottom: float, right: float, top: float) -> tuple[Vertex, ...]:
    return ((left, bottom, 0.0), (right, bottom, 0.0), (right, top, 0.0), (left, top, 0.0))


def test_a_rectangle_is_the_plate_of_the_textbook() -> None:
    # m (a² + b²) / 12 about the centre, and the parallel axis (textbook)
    moments = loop_moments(rectangle(1.0, 2.0, 5.0, 12.0))
    assert moments.area_mm2 == pytest.approx(40.0)
    assert (moments.x_mm3, moments.y_mm3) == pytest.approx((40.0 * 3.0, 40.0 * 7.0))
    assert moments.polar_mm4 == pytest.approx(40.0 * (16.0 + 100.0) / 12.0 + 40.0 * (9.0 + 49.0))


def test_which_way_a_loop_runs_does_not_matter() -> None:
    loop = rectangle(1.0, 2.0, 5.0, 12.0)
    there, back = loop_moments(loop), loop_moments(loop[::-1])
    assert dataclasses.astuple(back) == pytest.approx(dataclasses.astuple(there))


def test_a_circle_of_arcs_is_the_disc_of_the_textbook() -> None:
    # m r² / 2 (textbook), at a distance by the parallel axis
    half = bulge_of(-180.0)
    loop = ((8.0, 3.0, half), (2.0, 3.0, half))
    arcs, disc = loop_moments(loop), circle_moments((5.0, 3.0), 3.0)
    for name in ("area_mm2", "x_mm3", "y_mm3", "polar_mm4"):
        assert getattr(arcs, name) == pytest.approx(getattr(disc, name), rel=1e-12)
    assert disc.polar_mm4 == pytest.approx(9.0 * math.pi * (4.5 + 34.0))


def test_a_half_disc_has_its_centre_at_4r_by_3_pi() -> None:
    half = loop_moments(((5.0, 0.0, bulge_of(-180.0)), (-5.0, 0.0, 0.0)))
    assert half.y_mm3 / half.area_mm2 == pytest.approx(4.0 * 5.0 / (3.0 * math.pi))


def test_an_arc_that_bulges_inward_takes_away() -> None:
    whole = loop_moments(rectangle(-4.0, 0.0, 4.0, 8.0))
    bitten = loop_moments(((-4.0, 0.0, bulge_of(90.0)), (4.0, 0.0, 0.0), (4.0, 8.0, 0.0), (-4.0, 8.0, 0.0)))
    segment = 0.5 * 32.0 * (math.pi / 2.0 - 1.0)
    assert bitten.area_mm2 == pytest.approx(whole.area_mm2 - segment)


def test_the_uniform_needle_is_the_one_worked_out_beforehand() -> None:
    # 0.30 g x 25 mm, pivot at its end: 62.5 g·mm² and 0.0368 mN·m of gravity (arithmetic of the rod formula)
    thin = loop_moments(rectangle(-0.005, 0.0, 0.005, 25.0))
    g_per_mm2 = 0.30 / thin.area_mm2
    mass = Mass(mass_g=0.30, centre_mm=(0.0, 12.5), inertia_gmm2=thin.polar_mm4 * g_per_mm2)
    assert mass.inertia_gmm2 == pytest.approx(62.5, rel=1e-6)
    assert mass.unbalance_torque_mnm(90.0) == pytest.approx(0.0368, abs=5e-5)
    assert mass.unbalance_torque_mnm(0.0) == pytest.approx(0.0)
    assert mass.unbalance_torque_mnm(270.0) == pytest.approx(-0.0368, abs=5e-5)
    assert mass.unbalance_torque_mnm(90.0, tilt_deg=30.0) == pytest.approx(0.0368 / 2.0, abs=5e-5)
    assert mass.worst_unbalance_torque_mnm(0.0) == 0.0


def flattened(loop: tuple[Vertex, ...], per_arc: int = 400) -> list[tuple[float, float]]:
    """Turn arcs into many chords, by the bulge's own definition and not by our formulas."""
    points: list[tuple[float, float]] = []
    for (x0, y0, bulge), (x1, y1, _) in zip(loop, (*loop[1:], *loop[:1]), strict=True):
        points.append((x0, y0))
        if bulge:
            chord = complex(x1 - x0, y1 - y0)
            angle = 4.0 * math.atan(bulge)
            centre = complex(x0, y0) + chord / 2.0 + 1j * chord / 2.0 / math.tan(angle / 2.0)
            spoke = complex(x0, y0) - centre
            turns = np.exp(1j * angle * np.arange(1, per_arc) / per_arc)
            points += [(p.real, p.imag) for p in centre + spoke * turns]
    return points


@pytest.mark.parametrize(
    "pointer", [NEEDLE, Pointer(length_mm=40.0, tail_mm=0.0), NEEDLE.model_copy(update={"bore_mm": 0.0})]
)
def test_a_mesh_library_finds_the_same_mass_centre_and_inertia(pointer: Pointer) -> None:
    outline = Polygon(flattened(pointer_loop(pointer)))
    if pointer.bore_mm:
        turn = np.linspace(0.0, 2.0 * math.pi, 2000, endpoint=False)
        bore = pointer.bore_mm / 2.0
        outline = outline.difference(Polygon(np.column_stack([bore * np.cos(turn), bore * np.sin(turn)])))
    solid = trimesh.creation.extrude_polygon(outline, height=pointer.thickness_mm)
    solid.density = pointer.density_kg_m3 * 1e-6
    about_pivot = solid.moment_inertia[2, 2] + solid.mass * (
        solid.center_mass[0] ** 2 + solid.center_mass[1] ** 2
    )
    ours = mass_of(pointer)
    assert ours.mass_g == pytest.approx(solid.mass, rel=2e-5)
    assert ours.centre_mm == pytest.approx(tuple(solid.center_mass[:2]), abs=1e-4)
    assert ours.inertia_gmm2 == pytest.approx(about_pivot, rel=2e-5)


def test_the_outline_that_is_weighed_is_the_outline_that_is_cut() -> None:
    cuts = [e for e in draw_pointer(NEEDLE, name="p", title="p").elements if e.operation is Operation.CUT]
    assert [e.loops for e in cuts if isinstance(e, Outline)] == [(pointer_loop(NEEDLE),)]
    assert [e.radius_mm for e in cuts if isinstance(e, Circle)] == [NEEDLE.bore_mm / 2.0]


def test_boss_and_counterweight_add_their_share() -> None:
    plain = mass_of(NEEDLE)
    loaded = mass_of(
        NEEDLE.model_copy(update={"boss_mass_g": 0.5, "counterweight_g": 0.2, "counterweight_at_mm": 7.0})
    )
    assert loaded.mass_g == pytest.approx(plain.mass_g + 0.7)
    # a point at 7 mm, and a ring of 4 and 1 mm radius (textbook)
    assert loaded.inertia_gmm2 == pytest.approx(plain.inertia_gmm2 + 0.2 * 49.0 + 0.5 * (16.0 + 1.0) / 2.0)
    assert loaded.mass_g * loaded.centre_mm[1] == pytest.approx(plain.mass_g * plain.centre_mm[1] - 1.4)


@given(st.floats(15.0, 60.0), st.floats(1.0, 3.0), st.floats(1.0, 5.0))
def test_the_weight_that_is_named_balances(length: float, blade: float, at: float) -> None:
    pointer = Pointer(length_mm=length, blade_width_mm=blade)
    weighted = pointer.model_copy(
        update={"counterweight_g": balancing_weight_g(pointer, at), "counterweight_at_mm": at}
    )
    assert mass_of(weighted).unbalance_gmm == pytest.approx(0.0, abs=1e-9)


def test_the_tail_that_is_named_balances() -> None:
    tail_mm = balancing_tail_mm(NEEDLE)
    assert tail_mm is not None
    assert NEEDLE.tail_mm < tail_mm < NEEDLE.length_mm
    assert mass_of(NEEDLE.model_copy(update={"tail_mm": tail_mm})).unbalance_gmm == pytest.approx(
        0.0, abs=1e-5
    )
    assert balancing_tail_mm(NEEDLE.model_copy(update={"tail_width_mm": 0.5})) is None


def test_a_counterweight_at_the_pivot_is_refused() -> None:
    with pytest.raises(DesignError, match="a counterweight needs a distance from the pivot, found 0"):
        balancing_weight_g(NEEDLE, 0.0)


@pytest.mark.parametrize("field", ["counterweight_g", "boss_mass_g", "density_kg_m3", "friction_mnm"])
def test_negative_masses_are_refused(field: str) -> None:
    with pytest.raises(ValidationError, match=field):
        Pointer(length_mm=25.0, **{field: -1.0})  # type: ignore[arg-type]
