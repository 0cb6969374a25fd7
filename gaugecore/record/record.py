"""The paper that goes with the made thing, as one PDF: build sheet and calibration record, dial by dial."""

from __future__ import annotations

from typing import Any

from gaugecore.errors import DesignError
from gaugecore.panel.document import Panel
from gaugecore.record.build_sheet import build_sheet
from gaugecore.record.calibration_record import calibration_record
from gaugecore.record.paper import Insets, bound, register_fonts


def record_pdf(panel: Panel) -> bytes:
    """Return build sheets and calibration records of a panel as an A4 PDF.

    Raises
    ------
    DesignError
        If the panel has no instruments, or a face cannot be drawn.
    """
    from reportlab.platypus import PageBreak

    if not panel.instruments:
        raise DesignError("there is nothing to record", found="no instruments", accepted="at least one")
    register_fonts()
    insets = Insets()
    story: list[Any] = []
    for instrument in panel.instruments:
        story += [*build_sheet(panel, instrument), PageBreak()]
        story += [*calibration_record(panel, instrument, insets), PageBreak()]
    return bound(story[:-1], title=panel.title, insets=insets)
