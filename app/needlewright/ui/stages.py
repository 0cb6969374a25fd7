"""All stages in a stack; a page is made when its stage is first opened."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from gaugecore.panel.edit import parse_place
from needlewright.ui.background import Background
from needlewright.ui.demands import TableDemands
from needlewright.ui.desk import Desk, Stage
from needlewright.ui.font_size import with_letters
from needlewright.ui.inspector_page import InspectorPage

#: What the widest page needs.
_WIDTH_PX = 410


class Stages(QStackedWidget):
    """The right-hand side of the window: the page of the open stage.

    Signals
    -------
    made : QWidget
        A page was made.
    """

    made = Signal(object)

    def __init__(self, desk: Desk, background: Background, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        demands = TableDemands(self)
        self._make: dict[Stage, Callable[[], QWidget]] = {
            Stage.FACE: lambda: _face(desk),
            Stage.MOVEMENT: lambda: _movement(desk, background),
            Stage.SUPPLY: lambda: _supply(desk),
            Stage.CALIBRATION: lambda: _calibration(desk, background),
            Stage.TABLE: lambda: _table(desk, background, demands),
            Stage.OUTPUT: lambda: _output(desk, background, demands),
        }
        self._pages: dict[Stage, QWidget] = {}
        desk.stage_changed.connect(self.open)
        # the first page is made by `open`, once somebody listens

    def sizeHint(self) -> QSize:
        """Return one width for every page, so that the column stays where it is when a page grows."""
        return QSize(with_letters(_WIDTH_PX), super().sizeHint().height())

    def minimumSizeHint(self) -> QSize:
        """Return the same width."""
        return QSize(with_letters(_WIDTH_PX), super().minimumSizeHint().height())

    def open(self, stage: Stage) -> None:
        """Show the page of a stage."""
        if stage not in self._pages:
            self._pages[stage] = self._make[stage]()
            self.addWidget(self._pages[stage])
            self.made.emit(self._pages[stage])
        self.setCurrentWidget(self._pages[stage])

    def reveal(self, place: str) -> None:
        """Open the form of the open page at a place of the panel, which a finding names."""
        for form in self.currentWidget().findChildren(InspectorPage):
            form.reveal_place(parse_place(place))

    def stop_needles(self) -> None:
        """Stop whatever moves a needle, on every page."""
        for page in self._pages.values():
            if hasattr(page, "stop_needles"):
                page.stop_needles()

    def leave_window(self) -> None:
        """Tell every page that the window has lost the focus."""
        for page in self._pages.values():
            if hasattr(page, "leave_window"):
                page.leave_window()

    def shut_down(self) -> None:
        """Let every page that runs something end it."""
        for page in self._pages.values():
            if hasattr(page, "shut_down"):
                page.shut_down()


# Each stage is imported when it is first opened: a user who only draws never waits for the plotting library,
# the serial one, or the half of the engine that the face does not need.


def _face(desk: Desk) -> QWidget:
    from needlewright.ui.stage_face import FaceStage

    return FaceStage(desk)


def _movement(desk: Desk, background: Background) -> QWidget:
    from needlewright.ui.stage_movement import MovementStage

    return MovementStage(desk, background)


def _supply(desk: Desk) -> QWidget:
    from needlewright.ui.stage_supply import SupplyStage

    return SupplyStage(desk)


def _calibration(desk: Desk, background: Background) -> QWidget:
    from needlewright.ui.stage_calibration import CalibrationStage

    return CalibrationStage(desk, background)


def _table(desk: Desk, background: Background, demands: TableDemands) -> QWidget:
    from needlewright.ui.stage_table import TableStage

    return TableStage(desk, background, demands)


def _output(desk: Desk, background: Background, demands: TableDemands) -> QWidget:
    from needlewright.ui.stage_output import OutputStage

    return OutputStage(desk, background, demands)
