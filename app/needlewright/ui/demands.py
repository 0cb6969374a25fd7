"""What is demanded of the tables: one place for the table stage, the output and the upload."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from gaugecore.table.from_fit import Wanted


class TableDemands(QObject):
    """The demands in force; part of the view, not of the panel.

    Signals
    -------
    changed : Wanted
        Something else is demanded now.
    """

    changed = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._wanted = Wanted()

    @property
    def wanted(self) -> Wanted:
        """Return what is demanded."""
        return self._wanted

    def take(self, wanted: Wanted) -> None:
        """Demand something else."""
        if wanted != self._wanted:
            self._wanted = wanted
            self.changed.emit(wanted)
