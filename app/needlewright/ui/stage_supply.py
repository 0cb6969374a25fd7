"""The supply stage: what feeds the panel, and what hangs on it."""

from __future__ import annotations

from gaugecore.panel.edit import Place
from needlewright.ui.desk import Desk
from needlewright.ui.inspector import Part, Sections
from needlewright.ui.inspector_page import InspectorPage


class SupplyStage(InspectorPage):
    """Form over the supply."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, _sections)


def _sections(_instrument: Place) -> Sections:
    return (Part("Supply", ("supply",)),)
