"""The pixels of the screen under a widget, which lie closer together than its own on a scaled screen."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPixmap
from PySide6.QtWidgets import QWidget


def off_pixel(painter: QPainter) -> QPointF:
    """Return how far a widget begins beyond a whole pixel of the screen, which it may at scales like 1.5.

    A picture laid there would be shifted to whole pixels, and what is painted over it would not.
    """
    device = painter.deviceTransform()
    return QPointF(device.dx() % 1.0, device.dy() % 1.0) / painter.device().devicePixelRatioF()


def pixels_under(size: QSize, ratio: float) -> QSize:
    """Return how many pixels of the screen something of a size touches that begins beside a whole one."""
    return QSize(math.ceil(size.width() * ratio) + 1, math.ceil(size.height() * ratio) + 1)


def blank_picture(widget: QWidget, ground: QColor | Qt.GlobalColor) -> QPixmap:
    """Return a picture as fine as the screen, as large as a widget that begins beside a whole pixel."""
    ratio = widget.devicePixelRatioF()
    picture = QPixmap(pixels_under(widget.size(), ratio))
    picture.setDevicePixelRatio(ratio)
    picture.fill(ground)
    return picture
