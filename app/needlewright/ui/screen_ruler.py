"""Measuring the screen once, with a bank card or a ruler, so that true size is true."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPalette, QPen, QScreen
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from needlewright.ui.number_box import LoneNumber
from needlewright.ui.true_size import keep_measured, px_per_mm

#: Long side of a card of ISO/IEC 7810 size ID-1.
CARD_MM = 85.60
_SHORTEST_PX, _LONGEST_PX = 100, 1200
_START_PX, _MIDDLE_PX = 20, 28


class ScreenRuler(QDialog):
    """Shows a line, lets it be made as long as a card, and asks how long it is.

    Parameters
    ----------
    screen : QScreen
        The one that is measured; the dialog has to stay on it.
    """

    def __init__(self, screen: QScreen, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._measured = screen
        self.setWindowTitle(self.tr("Measure this screen"))
        words = QLabel(
            self.tr(
                "Hold the long side of a bank card against the line, and drag the right end until the line "
                "is as long: {0:.2f} mm (ISO/IEC 7810, ID-1). Or hold a ruler against it, and type what it "
                "says. Left and Right step the end by a pixel, Page Up and Page Down by ten."
            ).format(CARD_MM)
        )
        words.setWordWrap(True)
        self.line = RulerLine(round(CARD_MM * px_per_mm(screen)))
        self.line.setAccessibleName(self.tr("Line to be measured"))
        self.length = LoneNumber(
            self.tr("Length of the line"), low=20.0, high=1000.0, value=CARD_MM, unit="mm"
        )
        form = QFormLayout()
        form.addRow(self.tr("The line is"), self.length)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(words)
        column.addWidget(self.line)
        column.addLayout(form)
        column.addWidget(buttons)
        self.line.setFocus()

    def accept(self) -> None:
        """Keep what was measured."""
        keep_measured(self._measured, self.line.length_px / self.length.value())
        super().accept()


class RulerLine(QWidget):
    """A line with end marks; its right end can be dragged, or stepped with the keys."""

    def __init__(self, length_px: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.length_px = _kept(length_px)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.SizeHorCursor)

    @property
    def end_px(self) -> QPoint:
        """Return where the right end is."""
        return QPoint(_START_PX + self.length_px, _MIDDLE_PX)

    def sizeHint(self) -> QSize:
        """Return room to make the line longer by half."""
        return QSize(2 * _START_PX + self.length_px * 3 // 2, 2 * _MIDDLE_PX)

    def minimumSizeHint(self) -> QSize:
        """Return room for the line."""
        return QSize(2 * _START_PX + self.length_px, 2 * _MIDDLE_PX)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Bring the end to the mouse."""
        self._take(round(event.position().x()) - _START_PX)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Let the end follow the mouse, whose button is held."""
        self._take(round(event.position().x()) - _START_PX)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step the end."""
        steps = {
            Qt.Key.Key_Left: -1,
            Qt.Key.Key_Right: 1,
            Qt.Key.Key_PageDown: -10,
            Qt.Key.Key_PageUp: 10,
        }
        step = steps.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            self._take(self.length_px + step)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the line, its end marks, and a grip on the right one."""
        painter = QPainter(self)
        palette = self.palette()
        painter.setPen(QPen(palette.color(QPalette.ColorRole.Text), 1))
        end = self.end_px
        painter.drawLine(_START_PX, _MIDDLE_PX, end.x(), _MIDDLE_PX)
        for x in (_START_PX, end.x()):
            painter.drawLine(x, 6, x, 2 * _MIDDLE_PX - 6)
        accent = QPalette.ColorRole.Highlight if self.hasFocus() else QPalette.ColorRole.Text
        painter.fillRect(end.x() + 1, _MIDDLE_PX - 7, 6, 15, palette.color(accent))

    def _take(self, length_px: int) -> None:
        self.length_px = _kept(length_px)
        self.updateGeometry()
        self.update()


def _kept(length_px: int) -> int:
    return min(max(length_px, _SHORTEST_PX), _LONGEST_PX)
