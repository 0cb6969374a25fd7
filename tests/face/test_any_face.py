"""Any face the document lets through is drawn and checked, or refused in one sentence."""

from __future__ import annotations

import io
import math
from xml.etree import ElementTree

import ezdxf
import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from pypdf import PdfReader

from gaugecore.drawing.dxf import to_dxf
from gaugecore.drawing.ink import ink_of
from gaugecore.drawing.pdf import to_pdf
from gaugecore.drawing.svg import to_svg
from gaugecore.errors import DesignError
from gaugecore.face.face import (
    Aperture,
    DetentMark,
    DetentShape,
    Ends,
    Face,
    FixingHoles,
    Graduations,
    GraduationStyle,
    Legend,
    LimitLine,
    Marking,
    Numerals,
    Orientation,
    ScaleBreak,
    SecondScale,
    Sector,
    Thousands,
)
from gaugecore.face.layout import lay_out_face
from gaugecore.face.readability import check_face
from gaugecore.face.scale import (
    AnyScale,
    CircularScale,
    LinearScale,
    LogarithmicScale,
    MultiTurnScale,
    PowerScale,
    TableScale,
)


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_subnormal=False)


lengths = st.one_of(numbers(1e-6, 1000.0), numbers(0.1, 60.0))
values = st.one_of(st.just(0.0), numbers(-1e11, 1e11), numbers(-100.0, 100.0))
steps = st.one_of(numbers(1e-9, 1e12), numbers(0.5, 50.0), st.sampled_from([1.0, 2.0, 5.0, 10.0]))
texts = st.one_of(
    st.text(alphabet='0A½é<&"°. ', max_size=12),
    st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=5),
)
colours = st.sampled_from(["#000000", "#ffffff", "#c1121f", "#35a35a", "#808080"])
angles = numbers(-720.0, 720.0)


@st.composite
def scales(draw: st.DrawFn) -> AnyScale:
    try:
        return _any_scale(draw)
    except ValidationError:
        reject()  # the model refuses it in a sentence; other tests hold it to that


def _any_scale(draw: st.DrawFn) -> AnyScale:
    low = draw(values)
    high = low + draw(st.one_of(numbers(1e-3, 1e11), numbers(1.0, 500.0)))
    start = draw(angles)
    end = start + draw(st.one_of(numbers(-360.0, -0.1), numbers(0.1, 360.0)))
    kind = draw(st.integers(0, 5))
    ends = {"low_value": low, "high_value": high, "low_deg": start, "high_deg": end}
    if kind == 0:
        return PowerScale(exponent=draw(numbers(0.1, 10.0)), **ends)
    if kind == 1:
        return LogarithmicScale(**{**ends, "low_value": abs(low) + 1e-6, "high_value": abs(low) * 3 + 2.0})
    if kind == 2:
        return CircularScale(low_value=low, high_value=high, low_deg=start, clockwise=draw(st.booleans()))
    if kind == 3:
        turns = draw(numbers(0.5, 50.0))
        return MultiTurnScale(
            low_value=low, high_value=high, value_per_turn=(high - low) / turns, low_deg=start
        )
    if kind == 4:
        return TableScale(
            points=((low, start), (low + (high - low) * 0.3, start + (end - start) * 0.6), (high, end))
        )
    return LinearScale(**ends)


styles = st.builds(GraduationStyle, length_mm=lengths, width_mm=lengths)
rings = st.builds(
    Graduations,
    outer_radius_mm=lengths,
    major_step=steps,
    intermediate_step=st.none() | steps,
    minor_step=st.none() | steps,
    major=styles,
    minor=styles,
    base_arc_width_mm=st.just(0.0) | lengths,
    aligned=st.sampled_from(Ends),
    automatic=st.booleans(),
)
numerals = st.builds(
    Numerals,
    radius_mm=lengths,
    height_mm=lengths,
    step=st.none() | steps,
    orientation=st.sampled_from(Orientation),
    decimals=st.integers(0, 6),
    divisor=steps,
    thousands=st.sampled_from(Thousands),
    texts=st.lists(st.tuples(values, texts), max_size=3).map(tuple),
)
faces = st.builds(
    Face,
    diameter_mm=lengths,
    bezel_mm=st.just(0.0) | lengths,
    centre_hole_mm=st.just(0.0) | lengths,
    fixing_holes=st.none()
    | st.builds(FixingHoles, count=st.integers(1, 5), pitch_circle_mm=lengths, diameter_mm=lengths),
    scale=scales(),
    graduations=rings,
    numerals=st.none() | numerals,
    sectors=st.lists(
        st.builds(
            Sector,
            low_value=values,
            high_value=values,
            inner_radius_mm=lengths,
            outer_radius_mm=lengths,
            colour=colours,
            hatched=st.booleans(),
        ),
        max_size=2,
    ).map(tuple),
    detent_marks=st.lists(
        st.builds(
            DetentMark,
            value=values,
            label=texts,
            shape=st.sampled_from(DetentShape),
            show_tolerance=st.booleans(),
        ),
        max_size=2,
    ).map(tuple),
    legends=st.lists(
        st.builds(Legend, text=texts, height_mm=lengths, arc_radius_mm=st.none() | lengths, turn_deg=angles),
        max_size=2,
    ).map(tuple),
    limit_lines=st.lists(
        st.builds(LimitLine, value=values, inner_radius_mm=lengths, outer_radius_mm=lengths), max_size=1
    ).map(tuple),
    apertures=st.lists(st.builds(Aperture, width_mm=lengths, height_mm=lengths), max_size=1).map(tuple),
    second=st.none() | st.builds(SecondScale, factor=st.sampled_from([1.852, -2.0, 1e-9]), graduations=rings),
    breaks=st.lists(st.builds(ScaleBreak, low_value=values, high_value=values), max_size=1).map(tuple),
    marking=st.sampled_from(Marking),
)


@pytest.mark.slow
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(faces)
def test_any_face_is_drawn_and_checked_or_refused_in_one_sentence(face: Face) -> None:
    for finding in check_face(face, pointer_length_mm=20.0, pointer_gap_mm=1.0, tip_width_mm=0.5):
        assert finding.message
        assert "\n" not in finding.message
    try:
        drawing = lay_out_face(face, name="face", title="Face")
    except DesignError as error:
        assert "\n" not in str(error)  # noqa: PT017
        return
    for element in drawing.elements:
        ink = ink_of(element)
        if ink is not None:
            assert math.isfinite(ink.farthest_mm)
    ElementTree.fromstring(to_svg(drawing))
    assert len(PdfReader(io.BytesIO(to_pdf([drawing])), strict=True).pages) == 1
    assert not ezdxf.read(io.StringIO(to_dxf(drawing).decode())).audit().errors
