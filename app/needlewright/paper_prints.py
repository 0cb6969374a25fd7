"""Every plate of a panel on paper pages: shared by the files, the preview and the printer."""

from __future__ import annotations

from gaugecore.drawing.elements import Drawing
from gaugecore.drawing.pages import Page
from gaugecore.drawing.paper import PrintCorrection, paper_pages
from gaugecore.errors import OutputError
from gaugecore.panel.document import Panel
from gaugecore.panel.plates import plates_of


def pages_to_print(panel: Panel, page: Page, correction: PrintCorrection) -> list[Drawing]:
    """Return every plate of a panel on pages at true size; the correction is not in them yet.

    Raises
    ------
    NeedlewrightError
        If there is no plate, or one cannot be drawn or is larger than the page.
    """
    plates = [plate for instrument in panel.instruments for plate in plates_of(instrument)]
    if not plates:
        raise OutputError(
            "there is nothing to print", where="instruments", accepted="a panel with at least one instrument"
        )
    return paper_pages(plates, page, title=panel.title, correction=correction)
