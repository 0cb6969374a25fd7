"""The row of stages: the job from left to right, each stage with what it lacks, in words."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QSizePolicy, QToolButton, QWidget

from needlewright.ui.desk import Desk, Stage
from needlewright.ui.status import Statuses
from needlewright.ui.translation import capital, in_words


class StageRow(QWidget):
    """One button a stage, one of them open.

    Signals
    -------
    wanted : Stage
        The user wants this stage.
    """

    wanted = Signal(object)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._said: Statuses | None = None
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 0, 8, 0)
        row.setSpacing(0)
        self._group = QButtonGroup(self)
        self._buttons: dict[Stage, QToolButton] = {}
        for at, stage in enumerate(Stage, start=1):
            button = QToolButton()
            button.setObjectName("stage")
            button.setCheckable(True)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
            button.setShortcut(f"Alt+{at}")
            button.clicked.connect(lambda _=False, stage=stage: self.wanted.emit(stage))
            self._group.addButton(button)
            self._buttons[stage] = button
            row.addWidget(button, 1)
        self.wanted.connect(desk.open_stage)
        desk.stage_changed.connect(self._show_open)
        self._show_open(desk.stage)
        self.show_statuses({})

    def show_statuses(self, statuses: Statuses) -> None:
        """Say under each stage what is missing or worst there."""
        if statuses == self._said:
            return
        self._said = dict(statuses)
        for at, (stage, button) in enumerate(self._buttons.items(), start=1):
            name = capital(in_words(stage))
            status = statuses.get(stage, "…")
            button.setText(f"{name}\n{status}")
            button.setShortcut(f"Alt+{at}")
            button.setAccessibleName(self.tr("{0} stage: {1}").format(name, status))
            button.setToolTip(f"{name} (Alt+{at})")

    def _show_open(self, stage: Stage) -> None:
        self._buttons[stage].setChecked(True)
