"""One print: the printer is asked for, the pages are laid out for its paper, and sent."""

from __future__ import annotations

from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QWidget

from gaugecore.drawing.elements import Drawing
from gaugecore.drawing.paper import PrintCorrection
from gaugecore.panel.document import Panel
from needlewright.paper_prints import pages_to_print
from needlewright.ui.called_off import CalledOff, Cancelled, Progress
from needlewright.ui.printing import asked_for_printer, page_of, print_pages
from needlewright.ui.translation import translate


class PrintJob:
    """The paper pages of a panel on their way to a printer.

    Parameters
    ----------
    panel : Panel
        Whose plates.
    measured_mm : tuple of float
        What the level and the upright bar of the last print measured.
    """

    def __init__(self, panel: Panel, measured_mm: tuple[float, float]) -> None:
        self._panel = panel
        self._correction = PrintCorrection(x_mm=measured_mm[0], y_mm=measured_mm[1])
        self._printer: QPrinter | None = None
        self._pages: list[Drawing] = []

    def ask(self, parent: QWidget) -> bool:
        """Ask for a printer; return whether one was chosen."""
        self._printer = asked_for_printer(parent)
        return self._printer is not None

    def draw(self, *, progress: Progress, called_off: CalledOff) -> None:
        """Lay the pages out, off the window's thread.

        Raises
        ------
        Cancelled
            If it was called off meanwhile.
        NeedlewrightError
            If they cannot be laid out for the printer's paper.
        """
        assert self._printer is not None
        progress(0, 1, translate("print_job", "paper pages"))
        self._pages = pages_to_print(self._panel, page_of(self._printer), self._correction)
        if called_off():
            raise Cancelled(translate("print_job", "called off; nothing was printed"))

    def send(self) -> str:
        """Print the pages; return what to do with them, for people.

        Raises
        ------
        OutputError
            If the printer does not take them.
        """
        assert self._printer is not None
        print_pages(self._printer, self._pages, self._correction)
        return translate(
            "print_job",
            "{0} pages printed at actual size. Measure both bars on paper: each must be 100 mm. If one is "
            "not, type what it measures beside “Bars of the last print”, and print again.",
        ).format(len(self._pages))
