"""The mark of the window in task bars and title bars: a dial with its needle past the middle."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPen, QPixmap, QPolygonF

from gaugecore.polar import dial_to_xy_mm

#: Sizes that systems ask for, the largest for screens that are scaled.
_SIZES_PX = (16, 24, 32, 48, 64, 128, 256)
_ARC_DEG, _NEEDLE_DEG = 120.0, 40.0
_RED, _INK, _PAPER, _GREEN = "#c8321e", "#26231d", "#fbf9f4", "#1f6a5c"


def window_icon() -> QIcon:
    """Return the icon, drawn at every size so that each is crisp."""
    icon = QIcon()
    for size_px in _SIZES_PX:
        icon.addPixmap(_drawn(size_px))
    return icon


def _drawn(size_px: int) -> QPixmap:
    picture = QPixmap(size_px, size_px)
    picture.fill(Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(size_px / 2, size_px / 2)
    painter.scale(size_px / 100, -size_px / 100)
    painter.setPen(QPen(QColor(_GREEN), 9))
    painter.setBrush(QColor(_PAPER))
    painter.drawEllipse(QPointF(), 43.0, 43.0)
    marks = 5 if size_px >= 32 else 3
    painter.setPen(QPen(QColor(_INK), 5 if size_px >= 32 else 9))
    for at in range(marks):
        deg = _ARC_DEG * (2 * at / (marks - 1) - 1)
        painter.drawLine(QPointF(*dial_to_xy_mm(deg, 25.0)), QPointF(*dial_to_xy_mm(deg, 36.0)))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(_RED))
    corners = ((0.0, 36.0), (90.0, 6.0), (-90.0, 6.0))
    blade = [QPointF(*dial_to_xy_mm(_NEEDLE_DEG + turn, reach)) for turn, reach in corners]
    painter.drawPolygon(QPolygonF(blade))
    painter.drawEllipse(QRectF(-9, -9, 18, 18))
    painter.end()
    return picture
