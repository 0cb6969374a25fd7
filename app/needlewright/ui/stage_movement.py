"""The movement stage: what turns the needle, and the needle itself."""

from __future__ import annotations

from gaugecore.panel.edit import Place
from needlewright.ui.desk import Desk
from needlewright.ui.inspector import Part, Sections
from needlewright.ui.inspector_page import InspectorPage


class MovementStage(InspectorPage):
    """Form over movement, train and pointer."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, _sections)


def _sections(instrument: Place) -> Sections:
    return (
        (Part("Drive and needle", instrument, ("movement", "train", "pointer"), unfold=True),)
        if instrument
        else ()
    )
