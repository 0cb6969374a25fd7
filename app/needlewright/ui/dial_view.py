"""The middle of the window: the canvas, fed from document and desk, with its own small row of tools below."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from gaugecore.calibration.readings import Direction
from gaugecore.face.scale import angle_deg
from gaugecore.findings import Finding
from needlewright.ui.canvas import DialCanvas
from needlewright.ui.canvas_tools import CanvasTools
from needlewright.ui.desk import Desk
from needlewright.ui.picture import Pictures
from needlewright.ui.places import place_of_part, shows
from needlewright.ui.value_bar import ValueBar


class DialView(QWidget):
    """Shows the instrument that the desk holds.

    Signals
    -------
    refused : str
        There is no picture, and this is why; empty when there is one again.
    """

    refused = Signal(str)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._pictures = Pictures()
        self._refusal = ""
        self._held_deg: float | None = None
        self.canvas = DialCanvas()
        self.tools = CanvasTools(self.canvas)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.tools)
        column.addWidget(self.canvas, 1)
        column.addWidget(ValueBar(desk))
        self.canvas.part_clicked.connect(self._select)
        desk.document.changed.connect(lambda _: self.refresh())
        desk.instrument_changed.connect(lambda _: self._other_instrument())
        desk.part_changed.connect(lambda _: self._show_chosen())
        desk.value_changed.connect(lambda _: self._turn())
        self.refresh()

    def refresh(self) -> None:
        """Draw the instrument as it is now; when it cannot be drawn, the last picture stays."""
        instrument = self._desk.instrument
        if instrument is None:
            self.canvas.show_dial(None, None)
            self._say("")
            return
        picture = self._pictures.of(instrument)
        self._say(picture.refusal)
        if picture.face is not None:
            self.canvas.show_dial(picture.face, picture.needle)
            self.canvas.setAccessibleDescription(f"The face of {instrument.title}, from above")
            self._show_chosen()
        self._turn()

    def point_out(self, finding: Finding | None) -> None:
        """Show where a finding is."""
        self.canvas.point_out(finding.at_mm if finding is not None else None)

    def show_target(self, target: tuple[float, Direction] | None) -> None:
        """Mark where the needle is expected next, and from which side it comes."""
        self.canvas.show_target(target)

    def show_needle(self, dial_deg: float | None) -> None:
        """Hold the needle at a dial angle, wherever the value slider stands; None gives it back."""
        self._held_deg = dial_deg
        self._turn()

    def _other_instrument(self) -> None:
        self.canvas.point_out(None)
        self.refresh()
        self.canvas.fit()

    def _turn(self) -> None:
        instrument = self._desk.instrument
        if self._held_deg is not None:
            self.canvas.turn_needle(self._held_deg)
        elif instrument is not None:
            self.canvas.turn_needle(angle_deg(instrument.face.scale, self._desk.value))

    def _select(self, part: str) -> None:
        instrument = self._desk.instrument
        if instrument is not None:
            self._desk.select_part(place_of_part(instrument, part) if part else "")

    def _show_chosen(self) -> None:
        part = self._desk.part
        self.canvas.choose((lambda element: shows(element, part)) if part else None)

    def _say(self, refusal: str) -> None:
        if refusal != self._refusal:
            self._refusal = refusal
            self.refused.emit(refusal)
