"""Printing at true size: the paper pages with their two bars, through the system's own print dialog.

The pages are those of the PDF file. Here they are painted straight onto the printer's paper, a millimetre
of the drawing on a millimetre of the paper, whatever the printer's margins are.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QPageLayout, QPageSize, QPainter
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QWidget

from gaugecore.drawing.elements import Drawing
from gaugecore.drawing.pages import Page
from gaugecore.drawing.paper import PrintCorrection
from gaugecore.errors import InputError, OutputError
from needlewright.ui.painting import page_transform, paint_drawing
from needlewright.ui.translation import translate

_MM_PER_INCH = 25.4
_PAGES = {
    QPageSize.PageSizeId.A4: Page.A4,
    QPageSize.PageSizeId.Letter: Page.LETTER,
    QPageSize.PageSizeId.A3: Page.A3,
}


def asked_for_printer(parent: QWidget | None = None) -> QPrinter | None:
    """Return the printer that the user chooses in the system's dialog; None when the user leaves it."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    if printer.pageLayout().pageSize().id() not in _PAGES:
        printer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
    dialog = QPrintDialog(printer, parent)
    dialog.setWindowTitle(translate("printing", "Print at actual size"))
    return printer if dialog.exec() == QPrintDialog.DialogCode.Accepted else None


def page_of(printer: QPrinter) -> Page:
    """Return the paper that a printer is set to.

    Raises
    ------
    InputError
        If it is a size that no pages are laid out for.
    """
    size = printer.pageLayout().pageSize()
    page = _PAGES.get(size.id())
    if page is None:
        raise InputError(
            translate("printing", "pages cannot be laid out for this paper"),
            found=size.name(),
            accepted=", ".join(QPageSize.name(one) for one in _PAGES),
        )
    return page


def print_pages(printer: QPrinter, pages: Sequence[Drawing], correction: PrintCorrection) -> None:
    """Paint pages on a printer at true size, stretched about their middles by the correction.

    Raises
    ------
    OutputError
        If the printer does not take them.
    """
    printer.setFullPage(True)
    printer.setPageOrientation(QPageLayout.Orientation.Portrait)
    painter = QPainter()
    if not painter.begin(printer):
        raise OutputError(
            translate("printing", "the printer does not take the pages"),
            where=printer.printerName() or printer.outputFileName(),
            accepted=translate(
                "printing", "a printer that is switched on, or a file in a folder that is there"
            ),
        )
    px_per_mm = printer.resolution() / _MM_PER_INCH
    for number, page in enumerate(pages):
        if number:
            printer.newPage()
        box = page.box
        painter.save()
        painter.translate(box.width_mm / 2 * px_per_mm, box.height_mm / 2 * px_per_mm)
        painter.scale(correction.x_factor, correction.y_factor)
        painter.translate(-box.width_mm / 2 * px_per_mm, -box.height_mm / 2 * px_per_mm)
        painter.setTransform(page_transform(box, px_per_mm), combine=True)
        paint_drawing(painter, page)
        painter.restore()
    painter.end()
