"""The output stage: files to cut, print and keep."""

from __future__ import annotations

from gaugecore.panel.edit import Place
from needlewright.ui.desk import Desk
from needlewright.ui.inspector import Part, Sections
from needlewright.ui.inspector_page import InspectorPage


class OutputStage(InspectorPage):
    """Form over the panel's title, note and stock."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, _sections)


def _sections(_instrument: Place) -> Sections:
    return (Part("Panel", (), ("title", "note", "stock")),)
