"""Outlines of a font, held against the font's own figures as fontTools reads them.

The font is DejaVu Sans as it comes with matplotlib: 2048 units an em, capitals 1493 high.
"""

from __future__ import annotations

import io
from pathlib import Path

import matplotlib
import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont

from gaugecore.drawing.elements import Operation, Outline
from gaugecore.drawing.ink import ink_of
from gaugecore.drawing.outline_font import font_of, outline_letter, set_letters
from gaugecore.errors import DesignError
from gaugecore.face.layout import lay_out_face
from gaugecore.face.readability import check_face
from tests.face.designs import RUDDER

FONT = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"


def shape(text: str, height_mm: float = 10.0) -> Outline:
    drawn = outline_letter(text, str(FONT), operation=Operation.PRINT, part="x", height_mm=height_mm)
    assert drawn is not None
    return drawn


def area_mm2(outline: Outline) -> float:
    total = 0.0
    for loop in outline.loops:
        total += sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)) / 2.0
    return abs(total)


@pytest.mark.parametrize("character", ["H", "O", "8", "é", "½", "Ω"])
def test_the_area_is_that_of_the_fonts_curves(character: str) -> None:
    font = TTFont(FONT)
    pen = AreaPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord(character)]].draw(pen)
    scale = 10.0 / 1493.0
    assert area_mm2(shape(character)) == pytest.approx(abs(pen.value) * scale**2, rel=0.002)


def test_capitals_are_exactly_as_high_as_asked_and_centred() -> None:
    ink = ink_of(shape("H", 4.0))
    assert ink is not None
    assert (ink.box.bottom_mm, ink.box.top_mm) == pytest.approx((-2.0, 2.0), abs=1e-9)
    assert ink.box.left_mm == pytest.approx(-ink.box.right_mm, abs=1e-9)


def test_letters_stand_as_far_apart_as_the_font_says() -> None:
    widths = TTFont(FONT)["hmtx"]
    (one, other) = shape("HH").loops
    apart = min(x for x, _, _ in other) - min(x for x, _, _ in one)
    assert apart == pytest.approx(widths["H"][0] * 10.0 / 1493.0)


def test_a_whole_face_may_use_it() -> None:
    face = RUDDER.model_copy(update={"font_file": str(FONT)})
    elements = {e.part: e for e in lay_out_face(face, name="f", title="F").elements}
    assert isinstance(elements["numerals.10"], Outline)
    assert isinstance(elements["legends.0"], Outline)
    assert "cannot-be-drawn" not in {finding.rule for finding in check_face(face)}


@pytest.mark.parametrize("content", [b"", b"not a font", b"\x00\x01\x00\x00" + b"\xff" * 200])
def test_what_is_no_font_is_refused(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "broken.ttf"
    path.write_bytes(content)
    with pytest.raises(DesignError, match=r"^font_file: ") as caught:
        outline_letter("A", str(path), operation=Operation.PRINT, part="x", height_mm=3.0)
    assert "\n" not in str(caught.value)


def test_a_missing_font_and_a_missing_character_are_refused(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match=r"font_file: cannot read the font \(No such file"):
        outline_letter("A", str(tmp_path / "no.ttf"), operation=Operation.PRINT, part="x", height_mm=3.0)
    with pytest.raises(DesignError, match=r"has no character '深' \(U\+6DF1\), found '深さ'"):
        shape("深さ")


@pytest.mark.parametrize(
    ("file", "rules"),
    [
        # against capitals of 1493, the stems of the plain one are 184 broad, of the bold one 377
        ("DejaVuSans.ttf", {"font-stroke"}),
        ("DejaVuSans-Bold.ttf", set()),
        # a box for every character, broader than high
        ("LastResortHE-Regular.ttf", {"font-stroke", "figure-width"}),
    ],
)
def test_strokes_and_figures_of_a_font_are_held_to_the_rules(file: str, rules: set[str]) -> None:
    face = RUDDER.model_copy(update={"font_file": str(FONT.parent / file), "legends": ()})
    assert {f.rule for f in check_face(face)} & {"font-stroke", "figure-width", "stroke-to-height"} == rules


def font_of_overlapping_bars() -> bytes:
    """Return a font whose H is made of three bars, as designers draw it before they unite them."""
    pens = {name: TTGlyphPen(None) for name in (".notdef", "H")}
    for left, bottom, right, top in ((100, 0, 200, 700), (100, 300, 500, 400), (400, 0, 500, 700)):
        pen = pens["H"]
        pen.moveTo((left, bottom))
        for corner in ((left, top), (right, top), (right, bottom)):
            pen.lineTo(corner)
        pen.closePath()
    font = FontBuilder(1000, isTTF=True)
    font.setupGlyphOrder(list(pens))
    font.setupCharacterMap({ord("H"): "H"})
    font.setupGlyf({name: pen.glyph() for name, pen in pens.items()})
    font.setupHorizontalMetrics(dict.fromkeys(pens, (600, 0)))
    font.setupHorizontalHeader(ascent=800, descent=-200)
    font.setupOS2()
    font.setupPost()
    file = io.BytesIO()
    font.save(file)
    return file.getvalue()


def test_overlapping_bars_of_a_letter_leave_no_holes() -> None:
    font = font_of(font_of_overlapping_bars(), name="bars")
    drawn = set_letters("H", font, operation=Operation.PRINT, part="x", height_mm=7.0)
    assert drawn is not None
    assert len(drawn.loops) == 1
    # two bars of 1 by 7 mm, and one of 4 by 1 mm less its ends
    assert area_mm2(drawn) == pytest.approx(16.0)
