"""Whatever a panel says of itself: its files stay in their folder, and hold no script and no way out."""

from __future__ import annotations

import io
import re
from pathlib import Path
from tempfile import TemporaryDirectory
from xml.etree import ElementTree

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from gaugecore.drawing.dxf import to_dxf
from gaugecore.drawing.elements import Drawing
from gaugecore.drawing.pdf import to_pdf
from gaugecore.drawing.svg import to_svg
from gaugecore.errors import DocumentError, NeedlewrightError, OutputError
from gaugecore.face.face import Legend
from gaugecore.face.layout import lay_out_face
from gaugecore.files import write_outputs
from gaugecore.panel.edit import with_value
from gaugecore.panel.starter import starter_panel
from tests.drawing.readback import dxf_document
from tests.face.designs import FUEL

#: All that an SVG of ours needs; nothing in it fetches, runs or links.
SVG_ELEMENTS = {"svg", "title", "desc", "g", "path", "line", "circle", "rect", "polyline", "polygon", "defs"}
PDF_ACTIONS = {
    "/JS",
    "/JavaScript",
    "/AA",
    "/OpenAction",
    "/Launch",
    "/URI",
    "/EmbeddedFiles",
    "/GoToR",
    "/F",
}

pieces = st.sampled_from(
    [
        *(
            "<script>",
            "</svg>",
            "]]>",
            "<!--",
            '"',
            "'",
            "&",
            "&#10;",
            "javascript:",
            "onload=",
            "http://x",
            "url(#a)",
        ),
        *(
            "(",
            ")",
            "\\",
            "%%EOF",
            "/JS",
            "endstream",
            "{",
            "}",
            "%%u",
            "^I",
            "../",
            "..\\",
            "/etc/",
            "C:",
            "a",
            " ",
        ),
    ]
)
captions = st.lists(pieces, max_size=8).map(lambda found: "".join(found)[:200])


def _drawing(title: str, legend: str) -> Drawing:
    face = FUEL.model_copy(update={"legends": (Legend(text=legend, height_mm=2.0),)} if legend else {})
    return lay_out_face(face, name="face", title=title)


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(captions, captions)
def test_an_svg_holds_shapes_and_titles_only(title: str, legend: str) -> None:
    root = ElementTree.fromstring(to_svg(_drawing(title, legend)))
    for element in root.iter():
        assert element.tag.split("}")[-1] in SVG_ELEMENTS
        for name, value in element.attrib.items():
            assert not name.lower().startswith("on")
            assert "href" not in name.lower()
            assert not re.search(r"url\(|script:|//", value) or name.endswith("}label")


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(captions, captions)
def test_a_pdf_does_nothing_when_it_is_opened(title: str, legend: str) -> None:
    reader = PdfReader(io.BytesIO(to_pdf([_drawing(title, legend)])), strict=True)
    assert len(reader.pages) == 1
    root = reader.trailer["/Root"].get_object()
    assert isinstance(root, DictionaryObject)
    assert not PDF_ACTIONS & set(root)
    for number in range(1, len(reader.xref[0]) + 1 if 0 in reader.xref else 1):
        found = reader.get_object(number)
        if isinstance(found, DictionaryObject):
            assert not PDF_ACTIONS & set(found)
            assert found.get("/S") not in PDF_ACTIONS


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(captions, captions)
def test_a_dxf_holds_geometry_only(title: str, legend: str) -> None:
    document = dxf_document(to_dxf(_drawing(title, legend)))
    kinds = {entity.dxftype() for entity in document.modelspace()}
    assert kinds <= {"LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "HATCH", "SPLINE", "POINT"}


@given(st.one_of(captions, st.text(max_size=30)))
def test_an_id_is_a_plain_word_or_refused(given_id: str) -> None:
    panel = starter_panel("Desk")
    try:
        changed = with_value(panel, ("instruments", 0, "id"), given_id)
    except DocumentError:
        return
    assert re.fullmatch(r"[a-z][a-z0-9-]*", changed.instruments[0].id)


@given(st.one_of(captions, st.text(max_size=30)))
@example("\x00")
@example("a\ud800")
def test_no_file_is_written_outside_its_folder(name: str) -> None:
    with TemporaryDirectory() as above:
        folder = Path(above) / "out"
        try:
            write_outputs(folder, {name: b"x"})
        except (NeedlewrightError, OutputError):
            assert not folder.exists() or not any(folder.iterdir())
        else:
            assert [path.parent for path in folder.iterdir()] == [folder]
        assert {path.name for path in Path(above).iterdir()} <= {"out"}
