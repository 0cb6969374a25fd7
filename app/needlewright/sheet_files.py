"""Sheets and paper pages as files."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.panel.document import Panel
from gaugecore.panel.sheets import Sheet
from needlewright.plate_files import writer

PAPERS = ("A4", "Letter", "A3")


def sheet_files(panel: Panel, sheets: Sequence[Sheet], formats: Sequence[str]) -> dict[str, bytes]:
    """Return the sheets and the kerf test piece in every format, content by file name."""
    from gaugecore.drawing.kerf_test import kerf_test_piece
    from gaugecore.drawing.machine import prepared_for

    test_piece = prepared_for(panel.machine, kerf_test_piece())
    drawings = [*(sheet.drawing for sheet in sheets), test_piece]
    return {f"{drawing.name}.{form}": writer(form)(drawing) for drawing in drawings for form in formats}


def paper_file(panel: Panel, paper: str, measured_mm: tuple[float, float] | None) -> dict[str, bytes]:
    """Return all plates of a panel on paper pages, as one PDF file by its name.

    Parameters
    ----------
    panel : Panel
        With at least one instrument.
    paper : str
        One of `PAPERS`.
    measured_mm : tuple of float or None
        What the level and the upright bar of the last print measured.

    Raises
    ------
    InputError
        If a bar measured less than 90 or more than 110 mm, or a plate is larger than the paper.
    """
    from gaugecore.drawing.pages import Page
    from gaugecore.drawing.paper import PrintCorrection, pages_to_pdf
    from needlewright.paper_prints import pages_to_print

    x_mm, y_mm = measured_mm or (100.0, 100.0)
    correction = PrintCorrection(x_mm=x_mm, y_mm=y_mm)
    pages = pages_to_print(panel, Page[paper.upper()], correction)
    return {f"paper-{paper.lower()}.pdf": pages_to_pdf(pages, correction)}
