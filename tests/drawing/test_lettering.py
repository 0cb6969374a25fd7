"""Lettering is set by what is drawn: exactly centred, exactly high."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.drawing.elements import Operation
from gaugecore.drawing.lettering import letter, polylines_of, stroke_width_mm
from gaugecore.drawing.polylines import Polylines
from gaugecore.polar import turned


def edges(text: str, **how: object) -> tuple[float, float, float, float]:
    points = [point for line in polylines_of(text, **how) for point in line]  # type: ignore[arg-type]
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


@given(st.text(alphabet="0123456789", min_size=1, max_size=5))
def test_figures_are_centred_both_ways_and_exactly_as_high_as_asked(text: str) -> None:
    left, bottom, right, top = edges(text, height_mm=4.0, at_mm=(10.0, -3.0))
    assert (left + right) / 2.0 == pytest.approx(10.0, abs=1e-9)
    assert (bottom + top) / 2.0 == pytest.approx(-3.0, abs=1e-9)
    assert top - bottom == pytest.approx(4.0, abs=1e-9)


def test_a_comma_does_not_lift_a_number() -> None:
    assert edges("1,000", height_mm=4.0)[3] == pytest.approx(2.0)
    assert edges("1,000", height_mm=4.0)[1] < -2.0


@pytest.mark.parametrize("turn_deg", [30.0, 90.0, 180.0, -45.0])
def test_turned_lettering_is_the_same_strokes_turned(turn_deg: float) -> None:
    straight = polylines_of("R7", height_mm=3.0)
    for line, other in zip(straight, polylines_of("R7", height_mm=3.0, turn_deg=turn_deg), strict=True):
        for point, moved in zip(line, other, strict=True):
            assert turned(point, turn_deg) == pytest.approx(moved, abs=1e-12)


def test_the_stroke_is_a_tenth_of_the_height_unless_given() -> None:
    # ISO 3098, lettering type B, from memory
    assert stroke_width_mm(3.5) == pytest.approx(0.35)
    assert stroke_width_mm(3.5, 0.5) == 0.5
    assert letter("A", operation=Operation.PRINT, part="x", height_mm=5.0).width_mm == pytest.approx(0.5)


def test_a_minus_sign_is_longer_than_a_hyphen_and_stands_at_half_height() -> None:
    minus, hyphen = edges("\u2212", height_mm=4.0), edges("-", height_mm=4.0)
    assert minus[2] - minus[0] > 1.3 * (hyphen[2] - hyphen[0])
    assert minus[1] == minus[3] == pytest.approx(0.0)


def test_left_and_right_ends_stand_on_the_point() -> None:
    assert edges("Wind", height_mm=3.0, align="left", at_mm=(5.0, 0.0))[0] == pytest.approx(5.0)
    assert edges("Wind", height_mm=3.0, align="right", at_mm=(5.0, 0.0))[2] == pytest.approx(5.0)


def test_text_without_ink_has_no_strokes() -> None:
    assert polylines_of("", height_mm=3.0) == Polylines.of([])
    assert polylines_of("  ", height_mm=3.0) == Polylines.of([])
