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
from gaugecore.movement.train import GearPair
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


@pytest.mark.slow
@pytest.mark.parametrize(
    ("diameter_mm", "page_mm"),
    # ISO 216: A2 and A0; and paper of no series for the largest face there may be
    [(250.0, (420.0, 594.0)), (700.0, (841.0, 1189.0)), (1000.0, None)],
)
def test_a_large_face_takes_larger_paper_and_keeps_its_size(
    diameter_mm: float, page_mm: tuple[float, float] | None
) -> None:
    panel = calibrated_panel()
    flap = panel.instruments[0]
    face = flap.face.model_copy(update={"diameter_mm": diameter_mm})
    pdf = record_pdf(panel.with_instrument(flap.model_copy(update={"face": face})))
    with pdfplumber.open(io.BytesIO(pdf)) as read:
        build_sheet, calibration = read.pages
        widest = max(shape["width"] for shape in build_sheet.curves)
        assert widest == pytest.approx(diameter_mm * PT_PER_MM, abs=0.1)
        assert "Parts" in build_sheet.extract_text()
        size_mm = (float(build_sheet.width) / PT_PER_MM, float(build_sheet.height) / PT_PER_MM)
        if page_mm is None:
            assert min(size_mm) > diameter_mm
        else:
            assert size_mm == pytest.approx(page_mm, abs=0.01)
        assert float(calibration.width) == pytest.approx(210 * PT_PER_MM, abs=0.01)


@pytest.mark.slow
def test_text_boxes_and_foot_begin_and_end_together_and_nothing_stands_alone() -> None:
    with pdfplumber.open(io.BytesIO(record())) as read:
        assert len(read.pages) == 2
        left, right = 18 * PT_PER_MM, (210 - 18) * PT_PER_MM
        for page in read.pages:
            words = page.extract_words()
            foot = [word for word in words if word["bottom"] > page.height - 18 * PT_PER_MM]
            # the first letters' own bearings are below half a point
            assert min(word["x0"] for word in foot) == pytest.approx(left, abs=0.6)
            assert max(word["x1"] for word in foot) == pytest.approx(right, abs=0.6)
            assert min(word["x0"] for word in words if word["upright"]) == pytest.approx(left, abs=1.3)
        boxes = [rect for rect in read.pages[0].rects if rect["width"] > 150 * PT_PER_MM]
        (box,) = boxes
        assert box["x0"] == pytest.approx(left, abs=0.5)
        assert box["x1"] == pytest.approx(right, abs=0.5)


@pytest.mark.slow
def test_a_long_title_moves_the_cautions_whole() -> None:
    panel = calibrated_panel()
    for words in range(0, 40, 4):
        flap = panel.instruments[0].model_copy(update={"title": "wide " * words})
        pages = PdfReader(io.BytesIO(record_pdf(panel.with_instrument(flap)))).pages
        texts = [page.extract_text() for page in pages]
        assert len([t for t in texts if "For simulator panels only" in t]) == 1
        (page,) = (t for t in texts if "For simulator panels only" in t)
        assert "workshop rules come first" in page


@pytest.mark.slow
def test_whoever_signs_signs_below_the_table() -> None:
    panel = load_panel(SAMPLES / "flap-indicator.panel.json")
    readings = read_readings(SAMPLES / "flap-indicator.flap.readings.csv")
    fit = fit_readings(readings)
    # more rows not believed make the page longer
    for count in range(0, 12):
        more = tuple(fit.suspect_rows) * count
        session = Session(readings=readings, fit=fit.model_copy(update={"suspect_rows": more}))
        flap = panel.instruments[0].model_copy(update={"calibration": Calibration(sessions=(session,))})
        pages = PdfReader(io.BytesIO(record_pdf(panel.with_instrument(flap)))).pages
        (signed,) = (page.extract_text() for page in pages if "Taken by" in page.extract_text())
        assert "Table in the firmware" in signed


@pytest.mark.slow
def test_the_table_of_values_has_the_detents_and_the_plot_the_figures_of_the_list() -> None:
    panel = calibrated_panel()
    text = " ".join(PdfReader(io.BytesIO(record())).pages[1].extract_text().split())
    assert "7, detent -21.0°" in text
    fit = panel.instruments[0].calibration.fit
    assert fit is not None
    for suspect in fit.suspect_rows:
        size = f"{suspect.residual_deg:+.1f}°"
        assert f"reason {suspect.row} {size}" in text
        assert f"row {suspect.row}: {size.replace('-', '−')}" in text


@pytest.mark.slow
def test_the_type_of_the_plot_is_as_large_as_the_text() -> None:
    with pdfplumber.open(io.BytesIO(record())) as read:
        sizes = {
            round(char["size"], 1)
            for char in read.pages[1].chars
            if char["fontname"].endswith("DejaVuSans") and char["upright"]
        }
        ticks = [word for word in read.pages[1].extract_words(extra_attrs=["size"]) if word["text"] == "−80"]
    assert ticks, sizes
    assert min(word["size"] for word in ticks) >= 8.0


@pytest.mark.slow
def test_the_build_sheet_says_which_gears_to_cut() -> None:
    panel = load_panel(SAMPLES / "ferry-bridge.panel.json")
    shaft = panel.instrument("shaft-speed")
    assert shaft is not None
    pdf = record_pdf(panel.model_copy(update={"instruments": (shaft,)}))
    text = " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    train = shaft.train
    assert isinstance(train, GearPair)
    assert train.movement_teeth is not None
    assert train.pointer_teeth is not None
    assert f"{train.movement_teeth} teeth on the movement, {train.pointer_teeth} on the pointer" in text
    assert f"module {train.module_mm:g} mm" in text
    # pitch circles touch: half of both pitch diameters
    apart_mm = (train.movement_teeth + train.pointer_teeth) * train.module_mm / 2
    assert f"shafts {apart_mm:g} mm apart" in text


def test_a_face_that_cannot_be_drawn_is_refused_by_its_name() -> None:
    panel = calibrated_panel()
    flap = panel.instruments[0]
    legend = flap.face.legends[0].model_copy(update={"text": "水"})
    face = flap.face.model_copy(update={"legends": (legend,)})
    with pytest.raises(DesignError, match=r"^instruments\.flap\.face\.legends\.0\.text: "):
        record_pdf(panel.with_instrument(flap.model_copy(update={"face": face})))
