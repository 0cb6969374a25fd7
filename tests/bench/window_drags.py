"""Drags on the dial as a hand makes them, mouse move by mouse move, each timed until it is painted."""

from __future__ import annotations

import gc
import time
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from gaugecore.polar import Point, dial_to_xy_mm

_MOVES, _TAKES = 60, 5
_LONGEST_S = 5.0
_CACHE = type(lru_cache(id))
_OURS = ("gaugecore.face", "gaugecore.drawing", "needlewright")


@dataclass(frozen=True)
class Drag:
    """What is selected, where it is gripped, and where it goes."""

    name: str
    part: str
    from_mm: Point
    to_mm: Point


#: On the dense dial of the bench, everything that can be dragged there.
DRAGS = (
    Drag("the graduations", "face.graduations.major", dial_to_xy_mm(-30, 40), dial_to_xy_mm(-30, 20)),
    Drag("the scale's end", "face.graduations.major", dial_to_xy_mm(-150, 40), dial_to_xy_mm(-60, 40)),
    Drag("the numerals", "face.numerals.radius_mm", dial_to_xy_mm(0, 31), dial_to_xy_mm(0, 15)),
    Drag("a sector's end", "face.sectors.2.low_value", dial_to_xy_mm(-30, 43.2), dial_to_xy_mm(-75, 43.2)),
    Drag("a legend", "face.legends.1.text", (0.0, -11.0), (10.0, 20.0)),
    Drag("the disc's edge", "face.diameter_mm", dial_to_xy_mm(180, 45), dial_to_xy_mm(180, 35)),
)


class _Painted(QObject):
    """Counts how often a widget is painted."""

    def __init__(self, widget: Any) -> None:
        super().__init__(widget)
        self.count = 0
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        self.count += event.type() == QEvent.Type.Paint
        return False


def frames_ms(window: Any, drag: Drag) -> list[float]:
    """Return how long each move of a drag that changes something takes until the dial is painted.

    The drag is made several times, each time as if for the first, and the least of each move counts: a moment
    that the machine gives to others falls on another move each time, and what the window does falls on the
    same.
    """
    takes = []
    for _ in range(_TAKES):
        _forget()
        takes.append(_dragged_ms(window, drag))
    return [min(take[move] for take in takes if move in take) for move in sorted(takes[0])]


def _forget() -> None:
    """Empty the caches of ours: a hand seldom drags over the same values twice."""
    for kept in gc.get_objects():
        if isinstance(kept, _CACHE) and kept.__module__.startswith(_OURS):
            kept.cache_clear()


def _dragged_ms(window: Any, drag: Drag) -> dict[int, float]:
    canvas, document = window.dial.canvas, window.document
    painted = _Painted(canvas)
    window.desk.select_part(drag.part)
    QTest.qWait(500)  # a hand that has selected something does not drag it at once
    start, end = (_at(canvas, point_mm) for point_mm in (drag.from_mm, drag.to_mm))
    _send(canvas, QEvent.Type.MouseButtonPress, start)
    taken: dict[int, float] = {}
    for move in range(1, _MOVES + 1):
        before, count = document.panel, painted.count
        start_s = time.perf_counter()
        _send(canvas, QEvent.Type.MouseMove, start + (end - start) * (move / _MOVES))
        QApplication.processEvents()
        if document.panel is before:
            continue  # nothing snapped over, so nothing is to be seen
        while painted.count == count and time.perf_counter() - start_s < _LONGEST_S:
            QApplication.processEvents()
        taken[move] = 1000.0 * (time.perf_counter() - start_s)
    _send(canvas, QEvent.Type.MouseButtonRelease, end)
    document.steps.undo()
    canvas.removeEventFilter(painted)
    return taken


def _at(canvas: Any, point_mm: Point) -> QPoint:
    place: QPointF = canvas._view.transform(canvas._size()).map(QPointF(*point_mm))
    return place.toPoint()


def _send(canvas: Any, kind: QEvent.Type, at_px: QPoint) -> None:
    left, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    event = QMouseEvent(
        kind,
        QPointF(at_px),
        QPointF(canvas.mapToGlobal(at_px)),
        none if kind is QEvent.Type.MouseMove else left,
        none if kind is QEvent.Type.MouseButtonRelease else left,
        Qt.KeyboardModifier.NoModifier,
    )
    QApplication.sendEvent(canvas, event)
