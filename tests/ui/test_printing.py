"""What goes to a printer is true: the bars on the paper measure 100 mm, corrected when the printer is off."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PySide6.QtGui import QAction, QPageSize
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QApplication

from gaugecore.drawing.pages import Page
from gaugecore.drawing.paper import PrintCorrection
from gaugecore.errors import InputError
from gaugecore.panel.document import Panel
from needlewright.paper_prints import pages_to_print
from needlewright.ui.desk import Stage
from needlewright.ui.printing import page_of, print_pages
from tests.drawing.test_paper import END_MARK_MM, PER_MM, bars_px


def _to_file(path: Path) -> QPrinter:
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
    printer.setOutputFileName(str(path))
    return printer


@pytest.mark.parametrize("measured", [(100.0, 100.0), (98.4, 101.3)])
def test_both_bars_on_the_paper_are_true_to_a_tenth_of_a_millimetre(
    qapp: QApplication, panel: Panel, tmp_path: Path, measured: tuple[float, float]
) -> None:
    correction = PrintCorrection(x_mm=measured[0], y_mm=measured[1])
    printer = _to_file(tmp_path / "printed.pdf")
    print_pages(printer, pages_to_print(panel, page_of(printer), correction), correction)
    drawn_px = bars_px((tmp_path / "printed.pdf").read_bytes(), tmp_path)
    for pixels, measured_mm in zip(drawn_px, measured, strict=True):
        on_paper_mm = pixels / PER_MM * measured_mm / 100.0
        assert on_paper_mm == pytest.approx(100.0 + END_MARK_MM, abs=0.1)


def test_paper_that_no_pages_are_laid_out_for_is_refused_in_a_sentence(
    qapp: QApplication, tmp_path: Path
) -> None:
    printer = _to_file(tmp_path / "printed.pdf")
    assert page_of(printer) is Page.A4
    printer.setPageSize(QPageSize(QPageSize.PageSizeId.A6))
    with pytest.raises(InputError, match=r"A6.*A4, Letter.*A3"):
        page_of(printer)


def test_print_is_in_the_panel_menu_and_says_actual_size(
    make_window: Any, panel: Panel, qtbot: Any, tmp_path: Path, monkeypatch: Any
) -> None:
    path = tmp_path / "printed.pdf"
    monkeypatch.setattr("needlewright.ui.print_job.asked_for_printer", lambda _: _to_file(path))
    window = make_window(panel)
    next(action for action in window.findChildren(QAction) if "Print" in action.text()).trigger()
    assert window.desk.stage is Stage.OUTPUT
    qtbot.waitUntil(lambda: "actual size" in window.strip.text, timeout=20_000)
    assert path.read_bytes().startswith(b"%PDF")


def test_a_panel_without_instruments_prints_nothing_and_says_so(
    make_window: Any, qtbot: Any, tmp_path: Path, monkeypatch: Any
) -> None:
    path = tmp_path / "printed.pdf"
    monkeypatch.setattr("needlewright.ui.print_job.asked_for_printer", lambda _: _to_file(path))
    window = make_window(Panel(title="Desk"))
    window.commands.print_pages()
    qtbot.waitUntil(lambda: "nothing to print" in window.strip.text, timeout=20_000)
    assert not path.exists()
