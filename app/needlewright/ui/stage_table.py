"""The table stage: raw values in, commands out."""

from __future__ import annotations

from gaugecore.panel.edit import Place
from needlewright.ui.desk import Desk
from needlewright.ui.inspector import Part, Sections
from needlewright.ui.inspector_page import InspectorPage


class TableStage(InspectorPage):
    """Form over the raw input."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, _sections)


def _sections(instrument: Place) -> Sections:
    return (Part("Input", (*instrument, "raw")),) if instrument else ()
