"""The calibration stage: sessions, readings and the fit."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from needlewright.ui.desk import Desk


class CalibrationStage(QWidget):
    """What is known about where the needle really points."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._text = QLabel()
        self._text.setWordWrap(True)
        column = QVBoxLayout(self)
        column.addWidget(self._text)
        column.addStretch()
        desk.document.changed.connect(lambda _: self.refresh())
        desk.instrument_changed.connect(lambda _: self.refresh())
        self.refresh()

    def refresh(self) -> None:
        """Show the calibration of the instrument on the canvas."""
        instrument = self._desk.instrument
        sessions = instrument.calibration.sessions if instrument is not None else ()
        readings = sum(len(session.readings) for session in sessions)
        self._text.setText(f"{len(sessions)} sessions, {readings} readings.")
