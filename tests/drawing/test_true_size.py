"""The 100 mm bar is 377.9528 px, 283.4646 pt and 100 DXF units, and prints as long as that.

Units: 1 in = 25.4 mm = 96 px = 72 pt (CSS Values and Units; reportlab/lib/units.py); $INSUNITS 4 = mm
(ezdxf/units.py). Pages: ISO 216 and US Letter as in reportlab/lib/pagesizes.py. Rasterised by poppler.
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

from gaugecore.drawing.dxf import to_dxf
from gaugecore.drawing.pages import Page
from gaugecore.drawing.pdf import to_pdf
from gaugecore.drawing.svg import to_svg
from gaugecore.drawing.test_card import test_card as draw_test_card
from tests.drawing.readback import dxf_lines, pdf_lines, svg_lines, svg_sheet

CARD = draw_test_card()
DPI = 600


def bars(lines: list) -> dict[str, float]:  # type: ignore[type-arg]
    """Return the lengths of the lines that are exactly level or upright and longest."""
    spans = [(abs(s.end_mm[0] - s.start_mm[0]), abs(s.end_mm[1] - s.start_mm[1])) for s in lines]
    return {
        "x": max(dx for dx, dy in spans if dy < 1e-6),
        "y": max(dy for dx, dy in spans if dx < 1e-6),
    }


@pytest.mark.slow
def test_the_bars_are_100_mm_in_every_format() -> None:
    for lines in (
        svg_lines(to_svg(CARD), CARD.box),
        dxf_lines(to_dxf(CARD)),
        pdf_lines(to_pdf([CARD]), CARD.box),
    ):
        assert bars(lines) == pytest.approx({"x": 100.0, "y": 100.0}, abs=1e-4)


@pytest.mark.slow
def test_the_bars_are_377_9528_px_and_283_4646_pt() -> None:
    found = [
        e.bbox()[2] - e.bbox()[0]
        for e in svg_sheet(to_svg(CARD)).elements()
        if getattr(e, "id", None) == "part-bar.x"
    ]
    # svgelements itself takes 0.0393701 in a millimetre, which makes 377.95296
    assert found == [pytest.approx(377.9528, abs=2e-4)]
    with pdfplumber.open(io.BytesIO(to_pdf([CARD]))) as pdf:
        level = [line["width"] for line in pdf.pages[0].lines if line["height"] < 1e-6]
    assert max(level) == pytest.approx(283.4646, abs=5e-5)


@pytest.mark.parametrize(
    ("page", "size_pt"),
    [(Page.A4, pagesizes.A4), (Page.A3, pagesizes.A3), (Page.LETTER, pagesizes.LETTER)],
)
def test_pages_have_the_standard_sizes(page: Page, size_pt: tuple[float, float]) -> None:
    card = draw_test_card(page)
    with pdfplumber.open(io.BytesIO(to_pdf([card]))) as pdf:
        assert pdf.pages[0].mediabox == pytest.approx((0.0, 0.0, *size_pt), abs=1e-3)


def test_everything_on_the_card_stays_on_every_page_with_room_for_a_printers_margin() -> None:
    from gaugecore.drawing.ink import ink_of

    for page in (Page.A4, Page.LETTER):
        card = draw_test_card(page)
        for element in card.elements:
            ink = ink_of(element)
            assert ink is not None
            assert ink.box.left_mm > card.box.left_mm + 5.0
            assert ink.box.right_mm < card.box.right_mm - 5.0
            assert ink.box.bottom_mm > card.box.bottom_mm + 5.0
            assert ink.box.top_mm < card.box.top_mm - 5.0


def test_viewers_are_asked_not_to_scale() -> None:
    catalogue = PdfReader(io.BytesIO(to_pdf([CARD]))).trailer["/Root"]
    assert catalogue["/ViewerPreferences"]["/PrintScaling"] == "/None"


@pytest.mark.slow
def test_the_bars_of_the_rasterised_page_measure_100_mm(tmp_path: Path) -> None:
    (tmp_path / "card.pdf").write_bytes(to_pdf([CARD]))
    subprocess.run(
        ["pdftoppm", "-r", str(DPI), "-gray", "-aa", "no", tmp_path / "card.pdf", tmp_path / "card"],
        check=True,
    )
    with Image.open(next(tmp_path.glob("card*.pgm"))) as picture:
        dark = np.asarray(picture) < 128
    per_mm = DPI / 25.4
    wanted = 100.0 * per_mm
    # the lines of the bars are the longest dark runs; their ends are the outer edges of 0.2 mm end marks
    for axis in (1, 0):
        run = longest_run(dark if axis == 1 else dark.T)
        assert run == pytest.approx(wanted + 0.2 * per_mm, abs=2.0)


def longest_run(rows: np.ndarray) -> int:  # type: ignore[type-arg]
    best = 0
    for row in rows[rows.sum(axis=1) > 1000]:
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
        best = max(best, int((edges[1::2] - edges[::2]).max()))
    return best


@pytest.mark.slow
def test_the_protractor_runs_clockwise_from_twelve_with_a_line_a_degree() -> None:
    lines = dxf_lines(to_dxf(CARD))
    ends = np.array([end for line in lines for end in (line.start_mm, line.end_mm)])
    for dial_deg in range(360):
        start = 46.0 * np.sin(np.radians(dial_deg)), 46.0 * np.cos(np.radians(dial_deg))
        assert np.abs(ends - start).sum(axis=1).min() < 1e-4
    numerals = {e.text: e for e in CARD.elements if e.part.startswith("ring.46.numeral")}  # type: ignore[union-attr]
    right = [x for line in numerals["90"].polylines for x, _ in line]  # type: ignore[union-attr]
    assert min(right) > 46.0
