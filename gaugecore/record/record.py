"""The paper that goes with the made thing, as one PDF: build sheet and calibration record, dial by dial."""

from __future__ import annotations

from gaugecore.errors import DesignError
from gaugecore.panel.document import Panel
from gaugecore.record.build_sheet import build_sheet
from gaugecore.record.calibration_record import calibration_record
from gaugecore.record.paper import PAGE_MM, Insets, Sheaf, bound, register_fonts


def record_pdf(panel: Panel) -> bytes:
    """Return build sheets and calibration records of a panel as a PDF: A4, larger where a face is.

    Raises
    ------
    DesignError
        If the panel has no instruments, or a face cannot be drawn; its place is a path in the panel.
    """
    if not panel.instruments:
        raise DesignError("there is nothing to record", found="no instruments", accepted="at least one")
    register_fonts()
    insets = Insets()
    sheaves: list[Sheaf] = []
    for instrument in panel.instruments:
        sheaves.append(build_sheet(panel, instrument))
        sheaves.append(Sheaf(PAGE_MM, calibration_record(panel, instrument, insets)))
    return bound(sheaves, title=panel.title, insets=insets)
