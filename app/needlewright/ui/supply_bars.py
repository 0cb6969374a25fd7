"""The current in every state of the panel, as figures and as bars against what the source may give."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from gaugecore.supply.states import Draw
from needlewright.ui.font_size import with_letters
from needlewright.ui.translation import capital, in_words

_ROW_PX = 30
_WORDS_PX = 92
_FIGURES_PX = 108
_HEAD_PX = 20


class SupplyBars(QWidget):
    """One row a state: typical as a full bar, worst case as a line to its end, the limit across all."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._draws: tuple[Draw, ...] = ()
        self._limit_ma = 0.0
        self._of_movements = False
        self._words_px, self._figures_px = with_letters(_WORDS_PX), with_letters(_FIGURES_PX)

    def show_draws(self, draws: Sequence[Draw], limit_ma: float, *, of_movements: bool) -> None:
        """Show states; of the movements' own supply, or of the source."""
        self._draws, self._limit_ma, self._of_movements = tuple(draws), limit_ma, of_movements
        self.setAccessibleName(self.tr("Movements' supply") if of_movements else self.tr("Source"))
        self.setAccessibleDescription(
            "; ".join(f"{in_words(draw.state)}: {self._typical(draw):.0f} mA" for draw in self._draws)
        )
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        """Return room for a head and all rows."""
        return QSize(340, _HEAD_PX + _ROW_PX * len(self._draws) + 4)

    def minimumSizeHint(self) -> QSize:
        """Return the same: rows are never squeezed."""
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the rows."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        palette = self.palette()
        ink = palette.color(QPalette.ColorRole.Text)
        quiet = palette.color(QPalette.ColorRole.PlaceholderText)
        room_px = max(self.width() - self._words_px - self._figures_px, 10)
        most_ma = max([self._limit_ma, *(self._worst(draw) for draw in self._draws), 1.0]) * 1.05
        limit_px = self._words_px + room_px * self._limit_ma / most_ma
        painter.setPen(quiet)
        head = self.tr("Movements' supply") if self._of_movements else self.tr("Source")
        painter.drawText(
            QRectF(0, 0, self.width() - self._figures_px, _HEAD_PX),
            Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter,
            self.tr("{0}, limit {1:.0f} mA").format(head, self._limit_ma),
        )
        painter.drawText(
            QRectF(self.width() - self._figures_px, 0, self._figures_px, _HEAD_PX),
            Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter,
            self.tr("typical / worst"),
        )
        for row, draw in enumerate(self._draws):
            self._paint_row(painter, row, draw, room_px / most_ma, ink)
        painter.setPen(QPen(palette.color(QPalette.ColorRole.BrightText), 1.5))
        painter.drawLine(int(limit_px), _HEAD_PX, int(limit_px), self.height() - 4)

    def _paint_row(self, painter: QPainter, row: int, draw: Draw, px_per_ma: float, ink: QColor) -> None:
        top = _HEAD_PX + row * _ROW_PX
        middle = top + _ROW_PX / 2
        typical, worst = self._typical(draw), self._worst(draw)
        over = typical > self._limit_ma
        accent = QPalette.ColorRole.BrightText if over else QPalette.ColorRole.Highlight
        colour = self.palette().color(accent)
        painter.fillRect(QRectF(self._words_px, middle - 5, typical * px_per_ma, 10), colour)
        painter.setPen(QPen(colour, 1.5))
        end = self._words_px + worst * px_per_ma
        painter.drawLine(int(self._words_px + typical * px_per_ma), int(middle), int(end), int(middle))
        painter.drawLine(int(end), int(middle - 5), int(end), int(middle + 5))
        painter.setPen(ink)
        painter.drawText(
            QRectF(0, top, self._words_px, _ROW_PX),
            Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter,
            capital(in_words(draw.state)),
        )
        painter.drawText(
            QRectF(self.width() - self._figures_px, top, self._figures_px, _ROW_PX),
            Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter,
            f"{typical:.0f} / {worst:.0f} mA",
        )

    def _typical(self, draw: Draw) -> float:
        return draw.movements_typical_ma if self._of_movements else draw.typical_ma

    def _worst(self, draw: Draw) -> float:
        return draw.movements_worst_ma if self._of_movements else draw.worst_ma
