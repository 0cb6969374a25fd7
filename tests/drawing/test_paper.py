"""Paper pages: standard sizes, nothing clipped, and bars of 100 mm measured in pixels, corrected or not.

Sizes: ISO 216 (A3, A4) and ANSI/ASME Y14.1 size A (Letter, 8.5 x 11 in), as in reportlab/lib/pagesizes.py.
The PDF is rasterised by poppler at 600 dpi; what a printer does wrong is done to the picture.
"""

from __future__ import annotations

import io
import subprocess
from pathlib import Path

import numpy as np
import pdfplumber
import pytest
from PIL import Image
from pypdf import PdfReader
from reportlab.lib import pagesizes

from gaugecore.drawing.elements import Box, Circle, Drawing, Operation
from gaugecore.drawing.ink import ink_of
from gaugecore.drawing.pages import Page
from gaugecore.drawing.paper import PrintCorrection, pages_to_pdf, paper_pages
from gaugecore.errors import DesignError, InputError
from gaugecore.face.layout import lay_out_face
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.pointer_plate import draw_pointer
from tests.face.designs import RUDDER

DPI = 600
PER_MM = DPI / 25.4
#: From outer edge to outer edge of the bars' end marks, which are 0.2 mm wide.
END_MARK_MM = 0.2

FACE = lay_out_face(RUDDER, name="rudder-face", title="Rudder")
POINTER = draw_pointer(Pointer(length_mm=31.0), name="rudder-pointer", title="Rudder")


def bars_px(content: bytes, folder: Path) -> tuple[float, float]:
    """Return the pixels from end mark to end mark of both bars of the first page."""
    path = folder / "page.pdf"
    path.write_bytes(content)
    subprocess.run(
        ["pdftoppm", "-r", str(DPI), "-gray", "-aa", "no", "-f", "1", "-l", "1", path, folder / "page"],
        check=True,
    )
    with Image.open(next(folder.glob("page*.pgm"))) as picture:
        dark = np.asarray(picture) < 128
    # nothing else near the left and the lower edge is longer than half a bar
    return longest_run(dark[-int(25 * PER_MM) :, :]), longest_run(dark[:, : int(25 * PER_MM)].T)


def longest_run(rows: np.ndarray) -> int:  # type: ignore[type-arg]
    best = 0
    for row in rows[rows.sum(axis=1) > 50.0 * PER_MM]:
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
        best = max(best, int((edges[1::2] - edges[::2]).max()))
    return best


@pytest.mark.parametrize(
    ("page", "size_pt"),
    [(Page.A4, pagesizes.A4), (Page.A3, pagesizes.A3), (Page.LETTER, pagesizes.LETTER)],
)
def test_pages_have_the_standard_sizes_whatever_the_correction(
    page: Page, size_pt: tuple[float, float]
) -> None:
    correction = PrintCorrection(x_mm=97.0, y_mm=103.0)
    pages = paper_pages([FACE, POINTER], page, title="Ferry", correction=correction)
    with pdfplumber.open(io.BytesIO(pages_to_pdf(pages, correction))) as pdf:
        for sheet in pdf.pages:
            assert sheet.mediabox == pytest.approx((0.0, 0.0, *size_pt), abs=1e-3)


def test_a4_and_a3_are_the_sizes_of_iso_216_and_letter_is_8_5_by_11_inches() -> None:
    assert Page.A4.value == (210.0, 297.0)
    assert Page.A3.value == (297.0, 420.0)
    assert Page.LETTER.value == pytest.approx((8.5 * 25.4, 11.0 * 25.4))


@pytest.mark.slow
@pytest.mark.parametrize("measured", [(100.0, 100.0), (97.3, 101.6)])
def test_the_next_print_is_right_when_the_bars_are_typed_in(
    measured: tuple[float, float], tmp_path: Path
) -> None:
    """A printer that made 97.3 and 101.6 of 100 mm does it again, to a page stretched against it."""
    correction = PrintCorrection(x_mm=measured[0], y_mm=measured[1])
    pages = paper_pages([FACE, POINTER], Page.A4, title="Ferry", correction=correction)
    drawn_px = bars_px(pages_to_pdf(pages, correction), tmp_path)
    for pixels, measured_mm in zip(drawn_px, measured, strict=True):
        printer = measured_mm / 100.0
        assert pixels * printer / PER_MM == pytest.approx(100.0 + END_MARK_MM, abs=2.0 / PER_MM)


@pytest.mark.parametrize("x_mm", [90.0, 97.0, 100.0, 110.0])
@pytest.mark.parametrize("y_mm", [90.0, 104.0])
@pytest.mark.parametrize("page", [Page.A4, Page.LETTER])
def test_nothing_leaves_the_paper_before_or_after_the_printer(page: Page, x_mm: float, y_mm: float) -> None:
    correction = PrintCorrection(x_mm=x_mm, y_mm=y_mm)
    for sheet in paper_pages([FACE, POINTER, FACE], page, title="Ferry", correction=correction):
        middle = np.array([page.width_mm / 2.0, page.height_mm / 2.0])
        for element in sheet.elements:
            ink = ink_of(element)
            assert ink is not None
            box = ink.box
            corners = np.array([(box.left_mm, box.bottom_mm), (box.right_mm, box.top_mm)])
            # true size is what the printer makes of it; the file holds it stretched
            for stretch in ((1.0, 1.0), (correction.x_factor, correction.y_factor)):
                on_page = middle + (corners - middle) * stretch
                assert (on_page > 4.0).all()
                assert (on_page < 2.0 * middle - 4.0).all()


def test_every_page_has_both_bars_crop_marks_and_a_head() -> None:
    pages = paper_pages([FACE] * 7, Page.A4, title="Ferry")
    assert len(pages) > 1
    for number, sheet in enumerate(pages, start=1):
        parts = [element.part for element in sheet.elements]
        assert {"bar.x", "bar.y", "bar.x.0", "bar.x.100", "bar.y.0", "bar.y.100"} <= set(parts)
        heads = [getattr(e, "text", "") for e in sheet.elements if e.part == "head.0"]
        assert heads == [f"Ferry · A4, page {number} of {len(pages)}"]
        faces = parts.count("rudder-face.outline")
        assert parts.count("rudder-face.crop") == 8 * faces
    assert sum([e.part for e in sheet.elements].count("rudder-face.outline") for sheet in pages) == 7


def test_plates_bars_and_heads_keep_clear_of_one_another() -> None:
    for sheet in paper_pages([FACE, POINTER, FACE, POINTER], Page.A4, title="Ferry"):
        inks = [(e.part, ink_of(e)) for e in sheet.elements if not e.part.endswith("crop")]
        boxes = [(part, ink.box) for part, ink in inks if ink is not None]
        bars = [box for part, box in boxes if part.startswith("bar")]
        others = [box for part, box in boxes if not part.startswith("bar")]
        for one in bars:
            for other in others:
                across = max(one.left_mm - other.right_mm, other.left_mm - one.right_mm)
                up = max(one.bottom_mm - other.top_mm, other.bottom_mm - one.top_mm)
                assert max(across, up) > 0.0


def test_plates_are_drawn_at_true_size_on_the_page() -> None:
    (sheet,) = paper_pages([FACE], Page.A4, title="Ferry")
    outline = next(e for e in sheet.elements if e.part == "rudder-face.outline")
    assert isinstance(outline, Circle)
    assert outline.radius_mm == RUDDER.diameter_mm / 2.0
    assert outline.operation is Operation.CUT


def test_viewers_are_asked_not_to_scale_and_the_bytes_are_always_the_same() -> None:
    pages = paper_pages([FACE], Page.A4, title="Ferry")
    content = pages_to_pdf(pages)
    assert content == pages_to_pdf(pages, PrintCorrection())
    assert PdfReader(io.BytesIO(content)).trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


@pytest.mark.parametrize(("x_mm", "y_mm", "axis"), [(89.9, 100.0, "x"), (100.0, 110.1, "y"), (0.0, 0.0, "x")])
def test_a_correction_outside_90_to_110_is_refused(x_mm: float, y_mm: float, axis: str) -> None:
    with pytest.raises(InputError, match=f"the {axis} bar of the last print .* accepted: 90 to 110 mm"):
        PrintCorrection(x_mm=x_mm, y_mm=y_mm)


def test_a_plate_larger_than_the_paper_is_refused_and_larger_paper_named() -> None:
    large = Drawing(
        name="large-face",
        title="Large",
        box=Box(left_mm=-110.0, bottom_mm=-110.0, right_mm=110.0, top_mm=110.0),
        elements=(Circle(operation=Operation.CUT, part="outline", centre_mm=(0.0, 0.0), radius_mm=104.0),),
    )
    with pytest.raises(DesignError, match=r"large-face: the plate is larger than a page of A4 .*--paper A3"):
        paper_pages([large], Page.A4, title="Ferry")
    assert len(paper_pages([large], Page.A3, title="Ferry")) == 1
