"""The readings as rows: what was sent, what was read, what the fit thinks of it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from gaugecore.calibration.readings import Direction, Reading
from gaugecore.calibration.result import Fit, SuspectRow
from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate

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
        self._table = QTableWidget(0, len(_HEADS))
        self._table.setAccessibleName(self.tr("Readings"))
        self._table.setHorizontalHeaderLabels([translate("readings_table", head) for head in _HEADS])
        self._table.verticalHeader().hide()
        self._table.verticalHeader().setDefaultSectionSize(24)
        self._table.horizontalHeader().setStretchLastSection(True)
        self._table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self._table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self._table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        for column, width in enumerate((38, 72, 64, 52)):
            self._table.setColumnWidth(column, width)
        self._toggle = QPushButton(self.tr("Leave out"))
        self._toggle.setEnabled(False)
        self._toggle.clicked.connect(self._exclude_or_count)
        row = QHBoxLayout()
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
        self._table.itemSelectionChanged.connect(self._show_toggle)

    def show_readings(self, readings: Sequence[Reading], fit: Fit | None) -> None:
        """Show readings and what the fit has against some of them."""
        self._readings = tuple(readings)
        suspects = self._suspects = {row.row: row for row in fit.suspect_rows} if fit is not None else {}
        self._table.setRowCount(len(readings))
        for at, reading in enumerate(readings):
            suspect = suspects.get(at + 1)
            doubt = suspect.reason if suspect is not None else ""
            remark = reading.excluded or doubt or reading.kept or reading.note
            cells = (
                f"{at + 1}",
                f"{reading.command:g}",
                f"{reading.angle_deg:.2f}".rstrip("0").rstrip("."),
                translate("readings_table", _SIDES.get(reading.direction, "")),
                remark,
            )
            struck = bool(reading.excluded) or suspect is not None
            for column, text in enumerate(cells):
                self._table.setItem(at, column, _cell(text, struck=struck and column < 4))
        self._table.scrollToBottom()
        self._show_toggle()

    def _show_toggle(self) -> None:
        row = self._table.currentRow()
        chosen = bool(self._table.selectedItems()) and 0 <= row < len(self._readings)
        self._toggle.setEnabled(chosen)
        self._toggle.setText(
            self.tr("Count again") if chosen and self._readings[row].excluded else self.tr("Leave out")
        )
        kept = chosen and bool(self._readings[row].kept)
        self._keep.setEnabled(chosen and (kept or (row + 1) in self._suspects))
        self._keep.setText(self.tr("Let the fit doubt it") if kept else self.tr("Keep it"))

    def _exclude_or_count(self) -> None:
        row = self._table.currentRow()
        reason = "" if self._readings[row].excluded else self.tr("left out by hand")
        self.exclude_wanted.emit(row + 1, reason)

    def _keep_or_doubt(self) -> None:
        row = self._table.currentRow()
        self.keep_wanted.emit(row + 1, "" if self._readings[row].kept else self.tr("kept by hand"))


def _cell(text: str, *, struck: bool) -> QTableWidgetItem:
    item = QTableWidgetItem(text)
    item.setToolTip(text)
    if struck:
        font = item.font()
        font.setStrikeOut(True)
        item.setFont(font)
    if text.replace(".", "").replace("-", "").isdigit():
        item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    return item
