"""What would be written, as pictures: plates, sheets, paper pages and the record, one at a time."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt, QTimer
from PySide6.QtGui import QImage, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QListWidget, QSplitter, QVBoxLayout, QWidget

from gaugecore.drawing.elements import Drawing
from needlewright.ui.painting import page_transform, paint_drawing
from needlewright.ui.pdf_pages import PdfPages

_ROOM_PX = 16.0


class _Page(QWidget):
    """One drawing or printed page on white, as large as it goes."""

    def __init__(self) -> None:
        super().__init__()
        self.setMinimumSize(320, 320)
        self._drawing: Drawing | None = None
        self._printed: tuple[PdfPages, int] | None = None
        self._picture = QImage()

    def show_drawing(self, drawing: Drawing) -> None:
        """Show a drawing."""
        self._drawing, self._printed = drawing, None
        self.update()

    def show_printed(self, pages: PdfPages, at: int) -> None:
        """Show a page that is printed already, so to speak."""
        self._drawing, self._printed, self._picture = None, (pages, at), QImage()
        self.update()

    def clear(self) -> None:
        """Show nothing."""
        self._drawing = self._printed = None

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.palette().color(QPalette.ColorRole.AlternateBase))
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.SmoothPixmapTransform)
        if self._drawing is not None:
            box = self._drawing.box
            place = self._place(box.width_mm, box.height_mm)
            painter.fillRect(place, Qt.GlobalColor.white)
            painter.translate(place.topLeft())
            painter.setTransform(page_transform(box, place.width() / box.width_mm), combine=True)
            paint_drawing(painter, self._drawing)
        elif self._printed is not None:
            pages, at = self._printed
            width_mm, height_mm = pages.size_mm(at)
            place = self._place(width_mm, height_mm)
            wide_px = round(place.width() * self.devicePixelRatioF())
            if self._picture.width() != wide_px:  # small print is read only from the screen's own pixels
                self._picture = pages.picture(at, wide_px / width_mm)
            painter.drawImage(place, self._picture)

    def _place(self, width: float, height: float) -> QRectF:
        """Return where something of this shape goes: in the middle, as large as there is room."""
        scale = min((self.width() - 2 * _ROOM_PX) / width, (self.height() - 2 * _ROOM_PX) / height)
        width_px, height_px = width * scale, height * scale
        return QRectF((self.width() - width_px) / 2, (self.height() - height_px) / 2, width_px, height_px)


class OutputPreview(QDialog):
    """Shows drawings that were made for output, and the record.

    Parameters
    ----------
    drawings : sequence of Drawing
        In the order they are listed.
    record : bytes
        The record's PDF; empty when none was ordered.
    """

    def __init__(
        self, drawings: Sequence[Drawing], record: bytes = b"", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Before it is written"))
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._drawings = tuple(drawings)
        self._record = PdfPages(record) if record else None
        self.names = QListWidget()
        self.names.setAccessibleName(self.tr("Drawings"))
        self.names.addItems(self._listed())
        pages = len(self._record) if self._record is not None else 0
        self.names.addItems([self.tr("record, page {0}").format(page + 1) for page in range(pages)])
        self.page = _Page()
        self._size = QLabel()
        self._size.setObjectName("quiet")
        self._size.setContentsMargins(6, 4, 0, 0)
        right = QWidget()
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.page, 1)
        column.addWidget(self._size)
        halves = QSplitter()
        halves.setChildrenCollapsible(False)
        halves.setHandleWidth(1)
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

    def _listed(self) -> list[str]:
        """Return a name for each drawing; those of one name are pages, told apart by their number."""
        names = [drawing.name for drawing in self._drawings]
        return [
            self.tr("{0}, page {1}").format(name, names[: at + 1].count(name))
            if names.count(name) > 1
            else name
            for at, name in enumerate(names)
        ]

    def done(self, result: int) -> None:
        """Let go of the record."""
        if self._record is not None:
            self.page.clear()
            self._record.close()
            self._record = None
        super().done(result)

    def _show(self, row: int) -> None:
        at = row - len(self._drawings)
        if 0 <= row < len(self._drawings):
            drawing = self._drawings[row]
            self.page.show_drawing(drawing)
            self._name(drawing.title, drawing.box.width_mm, drawing.box.height_mm)
        elif self._record is not None and 0 <= at < len(self._record):
            self.page.show_printed(self._record, at)
            self._name(self.tr("Record, page {0}").format(at + 1), *self._record.size_mm(at))

    def _name(self, title: str, width_mm: float, height_mm: float) -> None:
        self._size.setText(self.tr("{0}: {1:.1f} × {2:.1f} mm").format(title, width_mm, height_mm))
        self.page.setAccessibleName(title)
