"""The output stage: the files of the panel, and its needles under live values."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QTabWidget, QVBoxLayout, QWidget

from needlewright.ui.background import Background
from needlewright.ui.demands import TableDemands
from needlewright.ui.desk import Desk
from needlewright.ui.drive_page import DrivePage
from needlewright.ui.output_files import OutputFiles


class OutputStage(QWidget):
    """Files, and driving.

    Signals
    -------
    said, broke, needle_shown
        Those of the pages.
    """

    said = Signal(str)
    broke = Signal(object)
    needle_shown = Signal(object)

    def __init__(self, desk: Desk, background: Background, demands: TableDemands) -> None:
        super().__init__()
        self.files = OutputFiles(desk, background, demands)
        self.drive = DrivePage(desk)
        self.tabs = QTabWidget()
        self.tabs.addTab(self.files, self.tr("Files"))
        self.tabs.addTab(self.drive, self.tr("Drive live"))
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 8, 12, 8)
        column.addWidget(self.tabs)
        self.files.said.connect(self.said)
        self.drive.said.connect(self.said)
        self.drive.broke.connect(self.broke)
        self.drive.needle_shown.connect(self.needle_shown)

    def stop_needles(self) -> None:
        """Stop at once."""
        self.drive.stop_needles()

    def shut_down(self) -> None:
        """End the drive."""
        self.files.call_off()
        self.drive.shut_down()
