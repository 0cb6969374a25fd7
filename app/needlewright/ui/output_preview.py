"""What would be written, as pictures: plates, sheets and paper pages, one at a time."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QListWidget, QSplitter, QVBoxLayout, QWidget

from gaugecore.drawing.elements import Drawing
from needlewright.ui.painting import page_transform, paint_drawing

_ROOM_PX = 16.0


class _Page(QWidget):
    """One drawing on white, as large as it goes."""

    def __init__(self) -> None:
        super().__init__()
        self.setMinimumSize(320, 320)
        self.drawing: Drawing | None = None

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.palette().color(QPalette.ColorRole.AlternateBase))
        if self.drawing is None:
            return
        box = self.drawing.box
        px_per_mm = min(
            (self.width() - 2 * _ROOM_PX) / box.width_mm, (self.height() - 2 * _ROOM_PX) / box.height_mm
        )
        width_px, height_px = box.width_mm * px_per_mm, box.height_mm * px_per_mm
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate((self.width() - width_px) / 2, (self.height() - height_px) / 2)
        painter.fillRect(0, 0, round(width_px), round(height_px), Qt.GlobalColor.white)
        painter.setTransform(page_transform(box, px_per_mm), combine=True)
        paint_drawing(painter, self.drawing)


class OutputPreview(QDialog):
    """Shows drawings that were made for output."""

    def __init__(self, drawings: Sequence[Drawing], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Before it is written"))
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._drawings = tuple(drawings)
        self.names = QListWidget()
        self.names.setAccessibleName(self.tr("Drawings"))
        self.names.addItems([drawing.name for drawing in self._drawings])
        self.page = _Page()
        self._size = QLabel()
        self._size.setObjectName("quiet")
        right = QWidget()
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.page, 1)
        column.addWidget(self._size)
        halves = QSplitter()
        halves.setChildrenCollapsible(False)
        halves.addWidget(self.names)
        halves.addWidget(right)
        halves.setStretchFactor(1, 1)
        halves.setSizes([190, 640])
        QHBoxLayout(self).addWidget(halves)
        # rows are laid out again when the sheet with their margins has been put on
        QTimer.singleShot(0, self.names, self.names.doItemsLayout)
        self.resize(880, 640)
        self.names.currentRowChanged.connect(self._show)
        self.names.setCurrentRow(0)

    def _show(self, row: int) -> None:
        drawing = self._drawings[row] if 0 <= row < len(self._drawings) else None
        self.page.drawing = drawing
        if drawing is not None:
            box = drawing.box
            self._size.setText(
                self.tr("{0}: {1:.1f} × {2:.1f} mm").format(drawing.title, box.width_mm, box.height_mm)
            )
            self.page.setAccessibleName(drawing.title)
        self.page.update()
