"""Measuring the screen once, with a ruler or a bank card, so that true size is true."""

from __future__ import annotations

from PySide6.QtCore import QSettings, QSize
from PySide6.QtGui import QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QFormLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from needlewright.ui.canvas_tools import TRUE_SIZE_KEY

#: Long side of a card of ISO/IEC 7810 size ID-1.
CARD_MM = 85.60
_LINE_PX = 400


class ScreenRuler(QDialog):
    """Shows a line of so many pixels and asks how long it is."""

    def __init__(self, px_per_mm: float, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Measure this screen"))
        words = QLabel(
            self.tr(
                "Hold a ruler against the line and type its length. A bank card will do too: it is "
                "{0:.2f} mm long (ISO/IEC 7810, ID-1)."
            ).format(CARD_MM)
        )
        words.setWordWrap(True)
        self.length = QDoubleSpinBox()
        self.length.setRange(20.0, 1000.0)
        self.length.setDecimals(1)
        self.length.setSuffix(" mm")
        self.length.setValue(_LINE_PX / px_per_mm)
        self.length.setAccessibleName(self.tr("Length of the line"))
        form = QFormLayout()
        form.addRow(self.tr("The line is"), self.length)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(words)
        column.addWidget(_Line())
        column.addLayout(form)
        column.addWidget(buttons)

    def accept(self) -> None:
        """Keep what was measured."""
        QSettings().setValue(TRUE_SIZE_KEY, _LINE_PX / self.length.value())
        super().accept()


class _Line(QWidget):
    """A line with end marks."""

    def sizeHint(self) -> QSize:
        return QSize(_LINE_PX + 40, 50)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(QPen(self.palette().color(QPalette.ColorRole.Text), 1))
        painter.drawLine(20, 25, 20 + _LINE_PX, 25)
        for x in (20, 20 + _LINE_PX):
            painter.drawLine(x, 10, x, 40)
