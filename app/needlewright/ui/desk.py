"""What is being looked at: the stage, the instrument, the selected part, the value under the needle.

None of it is in the panel file, and none of it can be undone.
"""

from __future__ import annotations

from enum import Enum

from PySide6.QtCore import QObject, Signal

from gaugecore.face.scale import value_range
from gaugecore.panel.document import Instrument, Panel
from needlewright.ui.document import PanelDocument
from needlewright.ui.needles import Needles

#: A board that is one click away; the seed is part of the name, so that it is the same servo every time.
VIRTUAL = "virtual:?seed=1"


class Stage(Enum):
    """The stages of the job, in its order."""

    FACE = "face"
    MOVEMENT = "movement"
    SUPPLY = "supply"
    CALIBRATION = "calibration"
    TABLE = "table"
    OUTPUT = "output"


class Desk(QObject):
    """The state of the view, above one document.

    Signals
    -------
    stage_changed, instrument_changed, part_changed, value_changed, port_changed
        Each says that the property of the same name has another value.
    instrument_renamed : str, str
        The instrument is the same and has another id: the old one, the new one. `instrument_changed` follows.

    Attributes
    ----------
    needles : Needles
        Who may move the needles of the board.
    """

    stage_changed = Signal(object)
    instrument_changed = Signal(str)
    instrument_renamed = Signal(str, str)
    part_changed = Signal(str)
    value_changed = Signal(float)
    port_changed = Signal(str)

    def __init__(self, document: PanelDocument, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.needles = Needles(self)
        self._before: Panel | None = None
        self._stage = Stage.FACE
        self._instrument_id = ""
        self._position = 0
        self._part = ""
        self._values: dict[str, float] = {}
        self._port = VIRTUAL
        document.begun.connect(self._forget)
        document.changed.connect(self._keep_instrument)
        self._keep_instrument(document.panel)

    @property
    def stage(self) -> Stage:
        """Return the stage that is open."""
        return self._stage

    @property
    def instrument(self) -> Instrument | None:
        """Return the instrument on the canvas, None when the panel has none."""
        return self.document.panel.instrument(self._instrument_id)

    @property
    def part(self) -> str:
        """Return the selected part of the instrument, a place below it; empty when none is."""
        return self._part

    @property
    def value(self) -> float:
        """Return the indicated value under the needle."""
        instrument = self.instrument
        if instrument is None:
            return 0.0
        low, high = value_range(instrument.face.scale)
        at_rest = min(max(0.0, low), high)
        return min(max(self._values.get(self._instrument_id, at_rest), low), high)

    @property
    def port(self) -> str:
        """Return the port of the board that was used last, so that it is chosen once for all stages."""
        return self._port

    def take_port(self, url: str) -> None:
        """Use the board on a port."""
        if url != self._port:
            self._port = url
            self.port_changed.emit(url)

    def open_stage(self, stage: Stage) -> None:
        """Open a stage."""
        if stage is not self._stage:
            self._stage = stage
            self.stage_changed.emit(stage)

    def take_instrument(self, instrument_id: str) -> None:
        """Put an instrument on the canvas."""
        if instrument_id != self._instrument_id:
            self._instrument_id = instrument_id
            ids = [instrument.id for instrument in self.document.panel.instruments]
            self._position = ids.index(instrument_id) if instrument_id in ids else 0
            self._part = ""
            self.instrument_changed.emit(instrument_id)
            self.part_changed.emit("")

    def select_part(self, part: str) -> None:
        """Select a part of the instrument: ``face.legends.0``; empty for none."""
        if part != self._part:
            self._part = part
            self.part_changed.emit(part)

    def show_value(self, value: float) -> None:
        """Put the needle on a value, which is kept inside the scale."""
        self._values[self._instrument_id] = value
        self.value_changed.emit(self.value)

    def _keep_instrument(self, panel: Panel) -> None:
        """Hold on to the instrument; when its id has gone, to the one that stands in its place."""
        ids = [instrument.id for instrument in panel.instruments]
        before, self._before = self._before, panel
        if self._instrument_id in ids:
            self._position = ids.index(self._instrument_id)
            return
        new = ids[min(self._position, len(ids) - 1)] if ids else ""
        if before is not None and _is_renamed(before, panel, self._instrument_id, new):
            self.instrument_renamed.emit(self._instrument_id, new)
        self.take_instrument(new)

    def _forget(self) -> None:
        """Begin afresh with another panel: where its needles stood is of no other one."""
        self._before = None
        self._values.clear()
        self.select_part("")


def _is_renamed(before: Panel, now: Panel, old_id: str, new_id: str) -> bool:
    """Return whether all that happened to an instrument is that its id became another one."""
    old, new = before.instrument(old_id), now.instrument(new_id)
    if old is None or new is None or before.instrument(new_id) is not None:
        return False
    return len(before.instruments) == len(now.instruments) and old.model_copy(update={"id": new_id}) == new
