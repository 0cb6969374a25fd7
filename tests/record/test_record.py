"""The record, read back by parsers that are not ours: true size, all figures, nothing of the user's lost."""

from __future__ import annotations

import io
import math
from functools import cache
from pathlib import Path

import pdfplumber
import pytest
from pypdf import PdfReader

from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.readings import read_readings
from gaugecore.errors import DesignError
from gaugecore.panel.document import Calibration, Panel, Session
from gaugecore.panel.store import load_panel
from gaugecore.record.record import record_pdf

SAMPLES = Path(__file__).parents[2] / "samples"
PT_PER_MM = 72 / 25.4  # ISO 32000 user space; reportlab/lib/units.py


def calibrated_panel() -> Panel:
    panel = load_panel(SAMPLES / "flap-indicator.panel.json")
    readings = read_readings(SAMPLES / "flap-indicator.flap.readings.csv")
    session = Session(taken_on="2026-11-25", readings=readings, fit=fit_readings(readings))
    flap = panel.instruments[0].model_copy(update={"calibration": Calibration(sessions=(session,))})
    return panel.with_instrument(flap)


@cache
def record() -> bytes:
    return record_pdf(calibrated_panel())


@pytest.mark.slow
def test_every_page_is_a4_upright() -> None:
    # ISO 216: 210 x 297 mm
    for page in PdfReader(io.BytesIO(record())).pages:
        assert float(page.mediabox.width) == pytest.approx(210 * PT_PER_MM, abs=1e-3)
        assert float(page.mediabox.height) == pytest.approx(297 * PT_PER_MM, abs=1e-3)


@pytest.mark.slow
def test_both_bars_are_100_mm_long() -> None:
    with pdfplumber.open(io.BytesIO(record())) as pdf:
        lines = pdf.pages[0].lines
    across = [line["width"] for line in lines if line["height"] == 0]
    upright = [line["height"] for line in lines if line["width"] == 0]
    for lengths in (across, upright):
        assert any(length == pytest.approx(283.4646, abs=0.01) for length in lengths)


@pytest.mark.slow
def test_the_face_is_at_true_size() -> None:
    """The major graduations of the flap dial, 4.5 mm long, stand where closed-form geometry puts them."""
    with pdfplumber.open(io.BytesIO(record())) as pdf:
        lines = pdf.pages[0].lines
    majors = [
        line
        for line in lines
        if math.hypot(line["width"], line["height"]) == pytest.approx(4.5 * PT_PER_MM, abs=0.01)
        and line["linewidth"] == pytest.approx(0.7 * PT_PER_MM, abs=0.01)
    ]
    # at 0, 5, 10, 15, 20, and the detent mark at 7
    assert len({(round(line["x0"], 2), round(line["top"], 2)) for line in majors}) == 6
    # 0 and 20 stand at -70 and 70 degrees on a radius of 26.5 mm, so their outer ends are a chord apart
    chord_mm = 2 * 26.5 * math.sin(math.radians(70))
    assert max(line["x1"] for line in majors) - min(line["x0"] for line in majors) == pytest.approx(
        chord_mm * PT_PER_MM, abs=0.02
    )


@pytest.mark.slow
def test_the_record_says_how_well_the_needle_points() -> None:
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(record())).pages)
    for word in ("Build sheet: Flaps", "Calibration record: Flaps", "2026-11-25", "reversal", "worst error"):
        assert word in text
    assert "never for use in a real aircraft" in text


@pytest.mark.slow
def test_the_same_panel_gives_the_same_bytes() -> None:
    assert record_pdf(calibrated_panel()) == record()


@pytest.mark.slow
def test_a_dial_without_a_fit_has_a_record_that_says_so() -> None:
    pdf = record_pdf(load_panel(SAMPLES / "flap-indicator.panel.json"))
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    assert "Not calibrated yet" in text


@pytest.mark.slow
@pytest.mark.parametrize("title", ["<b>&amp;", "a" * 200, "цифры ½ µ", "😀 <script>alert(1)</script>"])
def test_hostile_titles_give_a_valid_record(title: str) -> None:
    panel = load_panel(SAMPLES / "flap-indicator.panel.json")
    pdf = record_pdf(panel.model_copy(update={"title": title}))
    pages = PdfReader(io.BytesIO(pdf), strict=True).pages
    assert len(pages) == 2
    assert "/JavaScript" not in pdf.decode("latin-1")


@pytest.mark.slow
def test_a_fit_that_falls_short_of_the_scale_costs_the_table_and_not_the_record() -> None:
    panel = calibrated_panel()
    flap = panel.instruments[0]
    wider = flap.face.scale.model_copy(update={"low_deg": -85.0, "high_deg": 85.0})
    flap = flap.model_copy(update={"face": flap.face.model_copy(update={"scale": wider})})
    pdf = record_pdf(panel.with_instrument(flap))
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    assert "There is no table: " in text
    assert "Residuals from both sides" in text


def test_an_empty_panel_is_refused() -> None:
    with pytest.raises(DesignError, match="nothing to record"):
        record_pdf(Panel(title="Empty"))
