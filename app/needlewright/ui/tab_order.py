"""The way of the Tab key through a form that grows: as the eye goes, not as its parts came to be."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QLayout, QScrollArea, QWidget

_ASKED = "tabOrderAsked"


def put_in_order_soon(grown: QWidget) -> None:
    """Put the form that a grown part of it is in into order, once everything asked for now is there."""
    sheet = _sheet_of(grown)
    if sheet is not None and not sheet.property(_ASKED):
        sheet.setProperty(_ASKED, True)
        QTimer.singleShot(0, sheet, lambda: _put_in_order(sheet))


def stops_of(widget: QWidget) -> Iterator[QWidget]:
    """Yield what Tab stops at inside a widget, as it is laid out: from the top down, then to the right."""
    layout = widget.layout()
    if layout is not None:
        yield from _stops_in(layout)


def _stops_in(layout: QLayout) -> Iterator[QWidget]:
    for at in range(layout.count()):
        item = layout.itemAt(at)
        assert item is not None
        widget, inner = item.widget(), item.layout()
        if widget is not None:
            if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.focusProxy() is None:
                yield widget
            yield from stops_of(widget)
        elif inner is not None:
            yield from _stops_in(inner)


def _sheet_of(widget: QWidget) -> QWidget | None:
    sheet: QWidget | None = widget
    while sheet is not None:
        above = sheet.parentWidget()
        if above is not None and isinstance(above.parentWidget(), QScrollArea):
            return sheet
        sheet = above
    return None


def _put_in_order(sheet: QWidget) -> None:
    sheet.setProperty(_ASKED, False)
    for first, second in itertools.pairwise(stops_of(sheet)):
        QWidget.setTabOrder(first, second)
