"""Text that means something to a file format stays text; what cannot be lettered is refused in a sentence."""

from __future__ import annotations

import io
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from gaugecore.drawing.dxf import to_dxf
from gaugecore.drawing.elements import Operation
from gaugecore.drawing.lettering import fitted, letter, letterable, polylines_of
from gaugecore.drawing.pdf import to_pdf
from gaugecore.drawing.svg import to_svg
from gaugecore.errors import DesignError
from gaugecore.face.face import Legend
from gaugecore.face.layout import lay_out_face
from tests.drawing.readback import dxf_document
from tests.face.designs import FUEL

HOSTILE = (
    "<script>alert(1)</script>",
    "a & b && c &amp; d",
    "\"quoted\" and 'quoted'",
    "]]> <![CDATA[ <!-- -->",
    "%PDF (unbalanced \\",
    "{\\C1;P} ^J %%c",
    '0" onload="x',
    "W" * 200,
)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_legend_gives_valid_files(text: str) -> None:
    face = FUEL.model_copy(update={"legends": (Legend(text=text, height_mm=2.0),)})
    drawing = lay_out_face(face, name="face", title=text)
    root = ElementTree.fromstring(to_svg(drawing))
    assert not root.findall(".//{*}script")
    assert text in [title.text for title in root.iter("{http://www.w3.org/2000/svg}title")]
    assert dxf_document(to_dxf(drawing)).modelspace()
    reader = PdfReader(io.BytesIO(to_pdf([drawing])), strict=True)
    assert len(reader.pages) == 1
    assert reader.metadata is not None
    assert reader.metadata.title == text


@settings(max_examples=15, deadline=None)
@given(st.text(max_size=60))
def test_any_title_at_all_gives_valid_files(title: str) -> None:
    drawing = lay_out_face(FUEL, name="face", title=title)
    ElementTree.fromstring(to_svg(drawing))
    PdfReader(io.BytesIO(to_pdf([drawing])), strict=True)


def test_nothing_is_fetched_from_elsewhere() -> None:
    text = to_svg(lay_out_face(FUEL, name="face", title="Fuel")).decode()
    for word in ("href=", "url(", "<style", "<image", "font-family", "@import"):
        assert word not in text


@pytest.mark.parametrize(
    ("text", "character"), [("Depth 😀", "😀"), ("глубина", "г"), ("深さ", "深"), ("a\u200bb", "\u200b")]
)
def test_what_cannot_be_lettered_is_refused_with_text_and_character(text: str, character: str) -> None:
    face = FUEL.model_copy(update={"legends": (Legend(text="ok"), Legend(text=text))})
    with pytest.raises(DesignError) as caught:
        lay_out_face(face, name="face", title="Fuel")
    said = str(caught.value)
    assert said.startswith(f"legends.1.text: the character {character!r} (U+{ord(character):04X})")
    assert repr(text)[1:-1] in said
    assert "\n" not in said


@pytest.mark.parametrize("text", ["°½¼¾µ×±–−", "ÄÖÜäöü", "Éèêçñåø", "ŠšŽžČč", "ţŢęĘ", "ïíì", "×100 ²³"])
def test_signs_and_accented_latin_letters_are_composed(text: str) -> None:
    assert polylines_of(text, height_mm=3.0)


def test_a_caption_never_refuses() -> None:
    assert letterable("Tiefe 😀 m") == "Tiefe ? m"
    short = fitted("W" * 500, height_mm=2.0, longest_mm=40.0)
    assert short.endswith("…")
    drawn = letter(short, operation=Operation.GUIDE, part="x", height_mm=2.0)
    xs = [x for line in drawn.polylines for x, _ in line]
    assert max(xs) - min(xs) <= 40.0
