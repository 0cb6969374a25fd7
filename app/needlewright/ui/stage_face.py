"""The face stage: what the dial says, and where."""

from __future__ import annotations

from gaugecore.panel.edit import Place
from needlewright.ui.desk import Desk
from needlewright.ui.inspector import Part, Sections
from needlewright.ui.inspector_page import InspectorPage
from needlewright.ui.translation import translate


class FaceStage(InspectorPage):
    """Form over the instrument's names and its face."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, _sections)


def _sections(instrument: Place) -> Sections:
    if not instrument:
        return ()
    return (
        Part(translate("stage_face", "Instrument"), instrument, ("id", "title", "unit")),
        Part(translate("stage_face", "Face"), (*instrument, "face")),
    )
