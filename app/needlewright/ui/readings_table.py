"""The readings as rows: what was sent, what was read, what the fit thinks of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QFont, QShowEvent
from PySide6.QtWidgets import QAbstractItemView, QHBoxLayout, QPushButton, QTableView, QVBoxLayout, QWidget

from gaugecore.calibration.readings import Direction, Reading
from gaugecore.calibration.result import Fit, SuspectRow
from needlewright.ui.font_size import with_letters
from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate, with_minus

_HEADS = (
    QT_TRANSLATE_NOOP("readings_table", "Row"),
    QT_TRANSLATE_NOOP("readings_table", "Command"),
    QT_TRANSLATE_NOOP("readings_table", "Angle °"),
    QT_TRANSLATE_NOOP("readings_table", "From"),
    QT_TRANSLATE_NOOP("readings_table", "Remark"),
)
_SIDES = {
    Direction.UP: QT_TRANSLATE_NOOP("readings_table", "below"),
    Direction.DOWN: QT_TRANSLATE_NOOP("readings_table", "above"),
}


_REMARK = len(_HEADS) - 1
_NUMBERS = 3
Index = QModelIndex | QPersistentModelIndex


class _Rows(QAbstractTableModel):
    """The readings as they are looked at: of thousands, only the rows on the screen are put into words."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.readings: tuple[Reading, ...] = ()
        self.suspects: dict[int, SuspectRow] = {}

    def show_readings(self, readings: tuple[Reading, ...], suspects: dict[int, SuspectRow]) -> None:
        """Show others."""
        self.beginResetModel()
        self.readings, self.suspects = readings, suspects
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008  Qt's own signature
        """Return how many there are."""
        return 0 if parent.isValid() else len(self.readings)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008  Qt's own signature
        """Return how many columns there are."""
        return 0 if parent.isValid() else len(_HEADS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = 0) -> Any:
        """Return the head of a column."""
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return translate("readings_table", _HEADS[section])
        return None

    def data(self, index: Index, role: int = 0) -> Any:
        """Return the text of a cell, or how it looks."""
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return self._text(index.row(), index.column())
        if role == Qt.ItemDataRole.FontRole and self._is_struck(index.row()) and index.column() != _REMARK:
            font = QFont()
            font.setStrikeOut(True)
            return font
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column() < _NUMBERS:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def _text(self, row: int, column: int) -> str:
        reading = self.readings[row]
        suspect = self.suspects.get(row + 1)
        doubt = suspect.reason if suspect is not None else ""
        return (
            f"{row + 1}",
            with_minus(f"{reading.command:g}"),
            with_minus(f"{reading.angle_deg:.2f}".rstrip("0").rstrip(".")),
            translate("readings_table", _SIDES.get(reading.direction, "")),
            reading.excluded or doubt or reading.kept or reading.note,
        )[column]

    def _is_struck(self, row: int) -> bool:
        return bool(self.readings[row].excluded) or row + 1 in self.suspects


class ReadingsTable(QWidget):
    """All readings of a session; suspect and left-out rows are struck through, with the reason.

    Signals
    -------
    exclude_wanted : int, str
        Row numbered from 1, and the reason to leave it out; an empty reason counts it again.
    keep_wanted : int, str
        The same for believing a row that the fit doubts; an empty reason lets it doubt.
    """

    exclude_wanted = Signal(int, str)
    keep_wanted = Signal(int, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._readings: tuple[Reading, ...] = ()
        self._suspects: dict[int, SuspectRow] = {}
        self._rows = _Rows(self)
        self._table = QTableView()
        self._table.setModel(self._rows)
        self._table.setAccessibleName(self.tr("Readings"))
        self._table.verticalHeader().hide()
        self._table.verticalHeader().setDefaultSectionSize(with_letters(24))
        self._table.horizontalHeader().setStretchLastSection(True)
        self._table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self._table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self._table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        for column, width in enumerate((38, 72, 64, 52)):
            self._table.setColumnWidth(column, with_letters(width))
        self._toggle = QPushButton(self.tr("Leave out"))
        self._toggle.setEnabled(False)
        self._toggle.clicked.connect(self._exclude_or_count)
        row = QHBoxLayout()
        row.setContentsMargins(6, 0, 6, 6)
        self._keep = QPushButton(self.tr("Keep it"))
        self._keep.setEnabled(False)
        self._keep.setToolTip(self.tr("Tell the fit to believe a row that it suspects"))
        self._keep.clicked.connect(lambda: self._keep_or_doubt())
        row.addWidget(self._toggle)
        row.addWidget(self._keep)
        row.addStretch()
        column_box = QVBoxLayout(self)
        column_box.setContentsMargins(0, 0, 0, 0)
        column_box.addWidget(self._table, 1)
        column_box.addLayout(row)
        self._table.selectionModel().selectionChanged.connect(lambda *_: self._show_toggle())

    def show_readings(self, readings: Sequence[Reading], fit: Fit | None) -> None:
        """Show readings and what the fit has against some of them."""
        readings = tuple(readings)
        suspects = {row.row: row for row in fit.suspect_rows} if fit is not None else {}
        if readings == self._readings and suspects == self._suspects:
            return
        chosen, grown = self._chosen_row(), len(readings) > len(self._readings)
        self._readings, self._suspects = readings, suspects
        self._rows.show_readings(readings, suspects)
        if 0 <= chosen < len(readings):
            self._table.selectRow(chosen)
        if grown:
            self._table.scrollToBottom()
        self._show_toggle()

    def showEvent(self, event: QShowEvent) -> None:
        """Begin with the newest, which is what one wants to see after reading it."""
        super().showEvent(event)
        if self._chosen_row() < 0:
            self._table.scrollToBottom()

    def _chosen_row(self) -> int:
        """Return the row that is selected, from 0; -1 when none is."""
        rows = self._table.selectionModel().selectedRows()
        return rows[0].row() if rows else -1

    def _show_toggle(self) -> None:
        row = self._chosen_row()
        chosen = 0 <= row < len(self._readings)
        self._toggle.setEnabled(chosen)
        self._toggle.setText(
            self.tr("Count again") if chosen and self._readings[row].excluded else self.tr("Leave out")
        )
        kept = chosen and bool(self._readings[row].kept)
        self._keep.setEnabled(chosen and (kept or (row + 1) in self._suspects))
        self._keep.setText(self.tr("Let the fit doubt it") if kept else self.tr("Keep it"))

    def _exclude_or_count(self) -> None:
        row = self._chosen_row()
        reason = "" if self._readings[row].excluded else self.tr("left out by hand")
        self.exclude_wanted.emit(row + 1, reason)

    def _keep_or_doubt(self) -> None:
        row = self._chosen_row()
        self.keep_wanted.emit(row + 1, "" if self._readings[row].kept else self.tr("kept by hand"))
