"""The middle of the window: the canvas, fed from document and desk, with its own small row of tools below."""

from __future__ import annotations

import contextlib

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from gaugecore.calibration.readings import Direction
from gaugecore.errors import NeedlewrightError
from gaugecore.face.scale import angle_deg, angle_range_deg, slow_angle_deg, value_at
from gaugecore.face.scale_kinds import MultiTurnScale
from gaugecore.findings import Finding
from gaugecore.polar import Point
from needlewright.ui.canvas import SLOW_SIZE, DialCanvas
from needlewright.ui.canvas_tools import CanvasTools
from needlewright.ui.desk import Desk
from needlewright.ui.dragging import Grip, grip_on
from needlewright.ui.finish import Finish, recolour
from needlewright.ui.finish_compare import FinishCompare
from needlewright.ui.picture import Pictures
from needlewright.ui.places import place_of_part, shown_by
from needlewright.ui.translation import with_minus
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
        self._finish = Finish.PAPER
        self._held_deg: float | None = None
        self._grip: Grip | None = None
        self._group = ""
        self._steps_before = 0
        self.canvas = DialCanvas()
        self.tools = CanvasTools(self.canvas)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.tools)
        self.compare = FinishCompare()
        self._shown = QStackedWidget()
        self._shown.addWidget(self.canvas)
        self._shown.addWidget(self.compare)
        column.addWidget(self._shown, 1)
        self.bar = ValueBar(desk)
        column.addWidget(self.bar)
        self.tools.finish_wanted.connect(self._take_finish)
        self.tools.compare_wanted.connect(self._compare)
        self.compare.picked.connect(self.tools.take_finish)
        self.canvas.part_clicked.connect(self._select)
        self.canvas.drag_started.connect(self._grip_part)
        self.canvas.dragged.connect(self._drag)
        self.canvas.drag_ended.connect(self._end_drag)
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
            self.compare.show_dial(None, None, None)
            self._say("")
            return
        picture = self._pictures.of(instrument)
        self._say(picture.refusal)
        if picture.face is not None:
            if self._finish is not Finish.PAPER:  # its colours are those of the instrument as it is now
                self._light()
            self.canvas.show_dial(picture.face, picture.needle)
            if self._comparing:
                self.compare.show_dial(instrument, picture.face, picture.needle)
            self.canvas.setAccessibleDescription(
                self.tr("The face of {0}, from above").format(instrument.title)
            )
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
        self.bar.hold(dial_deg)
        self._turn()

    def _other_instrument(self) -> None:
        self.canvas.point_out(None)
        self.refresh()
        self.canvas.fit()

    def _turn(self) -> None:
        instrument = self._desk.instrument
        dial_deg = self._held_deg
        if dial_deg is None and instrument is not None:
            dial_deg = angle_deg(instrument.face.scale, self._desk.value)
        slow_deg = self._slow_deg()
        if dial_deg is not None:
            self.canvas.turn_needle(dial_deg)
            slow = ((slow_deg, SLOW_SIZE),) if slow_deg is not None else ()
            self.compare.turn(*slow, (dial_deg, 1.0))
        self.canvas.turn_slow_needle(slow_deg)

    def _slow_deg(self) -> float | None:
        """Return where the needle that counts turns stands, by the value or by where the fast one is held."""
        instrument = self._desk.instrument
        if instrument is None or not isinstance(instrument.face.scale, MultiTurnScale):
            return None
        scale, value = instrument.face.scale, self._desk.value
        if self._held_deg is not None:
            low_deg, high_deg = angle_range_deg(scale)
            value = value_at(scale, min(max(self._held_deg, low_deg), high_deg))
        return slow_angle_deg(scale, value)

    def _select(self, part: str) -> None:
        instrument = self._desk.instrument
        if instrument is not None:
            self._desk.select_part(place_of_part(instrument, part) if part else "")

    def _take_finish(self, finish: Finish) -> None:
        self._finish = finish
        self._shown.setCurrentWidget(self.canvas)
        self._light()

    @property
    def _comparing(self) -> bool:
        return self._shown.currentWidget() is self.compare

    def _compare(self) -> None:
        self._shown.setCurrentWidget(self.compare)
        self.compare.setFocus()
        self.refresh()

    def _light(self) -> None:
        self.canvas.light(recolour(self._finish, self._desk.instrument), sheen=self._finish is Finish.ACRYLIC)

    def _grip_part(self, part: str, at_mm: Point) -> None:
        instrument, document = self._desk.instrument, self._desk.document
        self._grip = grip_on(instrument, part, at_mm) if instrument is not None else None
        self._group, self._steps_before = document.new_group("drag"), document.steps.index()
        document.in_hand = True

    def _drag(self, to_mm: Point, fine: bool) -> None:
        instrument = self._desk.instrument
        edit = self._grip(to_mm, fine) if self._grip is not None else None
        if edit is None or instrument is None:
            return
        # where the model refuses to follow, the thing stays where it was last allowed
        with contextlib.suppress(NeedlewrightError):
            place = ("instruments", instrument.id, *edit.place)
            self._desk.document.edit(
                place, edit.value, f"{instrument.id}: {with_minus(edit.name)}", group=self._group
            )

    def _end_drag(self, keep: bool) -> None:
        self._grip = None
        self._desk.document.in_hand = False
        steps = self._desk.document.steps
        if not keep and steps.index() > self._steps_before:
            steps.undo()

    def _show_chosen(self) -> None:
        part = self._desk.part
        self.canvas.choose(shown_by(part) if part else None)

    def _say(self, refusal: str) -> None:
        if refusal != self._refusal:
            self._refusal = refusal
            self.refused.emit(refusal)
