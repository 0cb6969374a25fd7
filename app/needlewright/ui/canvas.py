"""The dial canvas: the drawing as it will be cut, the needle over it, and what is selected.

It shows what it is given and says what was done to it; it knows drawings, not panels. The face is painted
once into a picture, so that a moving needle repaints only itself.
"""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum
from functools import partial

from PySide6.QtCore import QPointF, QSizeF, Qt, Signal
from PySide6.QtGui import (
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPalette,
    QPen,
    QPixmap,
    QRegion,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from gaugecore.calibration.readings import Direction
from gaugecore.drawing.elements import AnyElement, Drawing, Operation
from gaugecore.polar import Point
from needlewright.ui.halo import Halo
from needlewright.ui.hit import element_at
from needlewright.ui.overlays import (
    RULER_PX,
    disc_of,
    paint_protractor,
    paint_ring,
    paint_rulers,
    paint_sheen,
    paint_target,
)
from needlewright.ui.painted_face import PaintedFace
from needlewright.ui.painting import Recolour, Stretch, paint, stretches
from needlewright.ui.pixels import blank_picture, off_pixel
from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate
from needlewright.ui.view import Sight, View

#: A click within so many pixels of a thing means the thing.
_REACH_PX = 5.0
_ROOM_PX = 26.0
_ZOOM_STEP = 1.25
#: The needle that counts turns is drawn like the fast one, so much shorter (common practice, no source).
SLOW_SIZE = 0.62


_CENTRED = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap

#: What an empty desk says.
INVITATION = QT_TRANSLATE_NOOP(
    "canvas",
    "The desk is empty.\n\n"
    "Add an instrument with New, on the left. It comes as a plain dial from 0 to 100 that works as it is: "
    "set its diameter, scale and numerals on the right, then go through the stages above in turn.\n\n"
    "Or begin from a sample in the Panel menu, or drop a panel file here.",
)


class Overlay(Enum):
    """What can be laid over the dial to measure with."""

    RULERS = "rulers"
    PROTRACTOR = "protractor"


class DialCanvas(QWidget):
    """Shows one dial.

    Signals
    -------
    part_clicked : str
        The part of the drawing that was clicked; empty for the desk beside it.
    view_changed : float
        Pixels a millimetre, after zooming.
    drag_started : str, Point
        A selected part was gripped there, in mm.
    dragged : Point, bool
        The mouse is there now; whether to be fine (Control is held).
    drag_ended : bool
        Whether to leave it at that; else it is to be taken back.
    """

    drag_started = Signal(str, object)
    dragged = Signal(object, bool)
    drag_ended = Signal(bool)

    part_clicked = Signal(str)
    view_changed = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(False)
        self.setMinimumSize(280, 240)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(self.tr("Dial"))
        self._drawing: Drawing | None = None
        self._face = PaintedFace()
        self._halo = Halo()
        self._needle: list[Stretch] = []
        self._needle_drawing: Drawing | None = None
        self._needle_deg = 0.0
        self._slow_deg: float | None = None
        self._needle_shown = True
        self._hidden: frozenset[Operation] = frozenset()
        self._overlays: set[Overlay] = {Overlay.RULERS}
        self._chosen: list[AnyElement] = []
        self._target: tuple[float, Direction] | None = None
        self._spot_mm: Point | None = None
        self._view = View()
        self._fits = True
        self._rulers: QPixmap | None = None
        self._rulers_of: Sight | None = None
        self._pressed_px: QPointF | None = None
        self._dragged = False
        self._gripped = ""
        self._recolour: Recolour | None = None
        self._sheen = False

    def show_dial(self, drawing: Drawing | None, needle: Drawing | None) -> None:
        """Show a face and the needle over it; None for an empty desk."""
        self._drawing = drawing
        self._show_face()
        if needle is not self._needle_drawing:
            self._needle_drawing = needle
            self._needle = stretches(needle.elements) if needle is not None else []
        self._choose([])
        if self._fits and not self._holds:  # what a hand holds must not slip away under it
            self.fit()

    def light(self, recolour: Recolour | None, *, sheen: bool = False) -> None:
        """Show the face in other colours, as by night, or with a sheen; None: in those it is made in."""
        self._recolour, self._sheen = recolour, sheen
        self._show_face()

    def turn_needle(self, dial_deg: float | None) -> None:
        """Turn the needle; None hides it."""
        self._needle_shown = dial_deg is not None
        self._needle_deg = dial_deg if dial_deg is not None else 0.0
        self.update()

    def turn_slow_needle(self, dial_deg: float | None) -> None:
        """Turn the short needle that counts the turns; None: the dial has none."""
        self._slow_deg = dial_deg
        self.update()

    def show_target(self, target: tuple[float, Direction] | None) -> None:
        """Mark a dial angle and the side from which the needle comes; None takes the mark away."""
        self._target = target
        self.update()

    def choose(self, is_chosen: Callable[[AnyElement], bool] | None) -> None:
        """Mark elements as selected; None marks none."""
        elements = self._drawing.elements if self._drawing is not None and is_chosen is not None else ()
        self._choose([element for element in elements if is_chosen is not None and is_chosen(element)])

    def point_out(self, spot_mm: Point | None) -> None:
        """Ring a place on the sheet, and come so close that it is well seen; None takes the ring away."""
        self._spot_mm = spot_mm
        if spot_mm is not None and self._drawing is not None:
            self._look(self._view.close_on(spot_mm, self._drawing.box, self._size()))
        self.update()

    def show_operation(self, operation: Operation, shown: bool) -> None:
        """Show or hide all elements of an operation."""
        self._hidden = self._hidden - {operation} if shown else self._hidden | {operation}
        self._face.hide(self._hidden)
        self.update()

    def show_overlay(self, overlay: Overlay, shown: bool) -> None:
        """Lay something over the dial, or take it away."""
        (self._overlays.add if shown else self._overlays.discard)(overlay)
        self.update()

    def fit(self) -> None:
        """Show the whole drawing, and keep doing so when the window changes its size."""
        self._fits = True
        if self._drawing is not None:
            self._look(self._view.fitted(self._drawing.box, self._size(), _ROOM_PX), fits=True)

    def zoom(self, factor: float, at_px: QPointF | None = None) -> None:
        """Come closer by a factor."""
        middle = QPointF(self.width() / 2, self.height() / 2)
        self._look(self._view.zoomed(factor, at_px or middle, self._size()))

    def zoom_to(self, px_per_mm: float) -> None:
        """Show a millimetre as so many pixels."""
        self.zoom(px_per_mm / self._view.px_per_mm)

    @property
    def px_per_mm(self) -> float:
        """Return how close the view is."""
        return self._view.px_per_mm

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the face from its picture, then the needle and the marks over it."""
        painter, palette = QPainter(self), self.palette()
        sight = self._sight(off_pixel(painter))
        face = self._face.seen(sight, palette.color(QPalette.ColorRole.AlternateBase))
        painter.drawPixmap(-sight.off, face)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setTransform(self._view.transform(self._size()))
        if self._needle_shown and self._needle:
            if self._slow_deg is not None:
                self._paint_needle(painter, self._slow_deg, SLOW_SIZE)
            self._paint_needle(painter, self._needle_deg, 1.0)
        painter.resetTransform()
        if not self._holds:  # a hand that places a thing wants to see its edges, and nothing round them
            accent = palette.color(QPalette.ColorRole.Highlight)
            self._halo.paint(painter, sight, accent, self._face.letters)
        painter.setTransform(self._view.transform(self._size()))
        if self._spot_mm is not None:
            paint_ring(painter, self._spot_mm, 1.0 / self._view.px_per_mm)
        if self._target is not None and self._drawing is not None:
            paint_target(painter, *self._target, self._drawing.box.width_mm / 2, self.palette())
        painter.resetTransform()
        if self._drawing is None:
            self._paint_invitation(painter)
        if Overlay.PROTRACTOR in self._overlays and self._drawing is not None:
            disc = disc_of(self._drawing.elements)
            radius_mm = disc.radius_mm if disc is not None else self._drawing.box.width_mm / 2
            paint_protractor(painter, self._view, self._size(), radius_mm, self.palette())
        if Overlay.RULERS in self._overlays:
            if self._rulers is None or self._rulers_of != sight:
                self._rulers, self._rulers_of = self._paint_rulers(), sight
            # along the edges only: to lay all of an empty picture on takes as long as a needle
            edge = RULER_PX + 1  # their lines end on it
            painter.setClipRegion(QRegion(0, 0, self.width(), edge) + QRegion(0, 0, edge, self.height()))
            painter.drawPixmap(0, 0, self._rulers)
            painter.setClipping(False)
        if self.hasFocus():
            painter.setPen(QPen(self.palette().color(QPalette.ColorRole.Highlight), 1))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the drawing fitted if it was."""
        if self._fits:
            self.fit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the mouse."""
        turns = event.angleDelta().y() / 120.0
        if turns:
            self.zoom(_ZOOM_STEP**turns, event.position())
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a click, a shift of the view, or a drag of what is selected."""
        self._pressed_px, self._dragged = event.position(), False
        under = self._under(event.position())
        self._gripped = under.part if under is not None and under in self._chosen else ""
        if event.button() != Qt.MouseButton.LeftButton:
            self._gripped = ""

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag what is gripped, else shift the view."""
        if self._pressed_px is None:
            return
        by_px = event.position() - self._pressed_px
        if not self._dragged and by_px.manhattanLength() <= _REACH_PX:
            return
        if self._gripped:
            if not self._dragged:
                self.drag_started.emit(self._gripped, self._view.on_sheet(self._pressed_px, self._size()))
            self._dragged = True
            fine = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            self.dragged.emit(self._view.on_sheet(event.position(), self._size()), fine)
        else:
            self._dragged = True
            self._look(self._view.moved(by_px))
            self._pressed_px = event.position()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Select what was clicked, or end a drag."""
        if self._pressed_px is not None and not self._dragged:
            under = self._under(event.position())
            self.part_clicked.emit(under.part if under is not None else "")
        elif self._gripped:
            self.drag_ended.emit(True)
        self._let_go()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Zoom with + and -, fit with 0, shift with the arrows, let go with Escape."""
        shifts = {
            Qt.Key.Key_Left: QPointF(40, 0),
            Qt.Key.Key_Right: QPointF(-40, 0),
            Qt.Key.Key_Up: QPointF(0, 40),
            Qt.Key.Key_Down: QPointF(0, -40),
        }
        key = Qt.Key(event.key())
        if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(_ZOOM_STEP)
        elif key == Qt.Key.Key_Minus:
            self.zoom(1 / _ZOOM_STEP)
        elif key == Qt.Key.Key_0:
            self.fit()
        elif key == Qt.Key.Key_Escape and self._gripped:
            self._let_go()
            self.drag_ended.emit(False)
        elif key == Qt.Key.Key_Escape:
            self.part_clicked.emit("")
        elif key in shifts:
            self._look(self._view.moved(shifts[key]))
        else:
            super().keyPressEvent(event)

    def changeEvent(self, event: object) -> None:
        """Follow the palette between light and dark."""
        self._rulers = None
        self._show_face()
        super().changeEvent(event)  # type: ignore[arg-type]

    @property
    def _holds(self) -> bool:
        """Return whether something of the dial is being dragged."""
        return self._dragged and bool(self._gripped)

    def _let_go(self) -> None:
        self._pressed_px, self._gripped = None, ""
        if self._fits:
            self.fit()
        self.update()

    def _under(self, at_px: QPointF) -> AnyElement | None:
        elements = self._drawing.elements if self._drawing is not None else ()
        shown = [element for element in elements if self._is_shown(element.operation)]
        point_mm = self._view.on_sheet(at_px, self._size())
        return element_at(shown, point_mm, _REACH_PX / self._view.px_per_mm)

    def _on_desk(self, element: AnyElement) -> str:
        """Return the colour of an element; what stands beside the disc must be read against the desk."""
        if self._recolour is not None:
            return self._recolour(element)
        if element.part == "caption":
            return self.palette().color(QPalette.ColorRole.PlaceholderText).name()
        return element.colour

    def _is_shown(self, operation: Operation) -> bool:
        return operation not in self._hidden

    def _show_face(self) -> None:
        drawing = self._drawing
        elements = drawing.elements if drawing is not None else ()
        sheen = partial(paint_sheen, elements=elements) if self._sheen else None
        self._face.show(elements, self._on_desk, sheen)
        self.update()

    def _choose(self, elements: list[AnyElement]) -> None:
        self._chosen = elements
        self._halo.show(elements, self._on_desk)
        self.update()

    def _paint_needle(self, painter: QPainter, dial_deg: float, size: float) -> None:
        painter.save()
        painter.rotate(-dial_deg)  # the sheet's y runs up, so clockwise is negative here
        painter.scale(size, size)
        paint(painter, self._needle, self._is_shown)
        painter.restore()

    def _paint_invitation(self, painter: QPainter) -> None:
        painter.setPen(self.palette().color(QPalette.ColorRole.PlaceholderText))
        painter.drawText(self.rect().adjusted(60, 0, -60, 0), _CENTRED, translate("canvas", INVITATION))

    def _paint_rulers(self) -> QPixmap:
        rulers = blank_picture(self, Qt.GlobalColor.transparent)
        painter = QPainter(rulers)
        paint_rulers(painter, self._view, self._size(), self.palette(), self.font())
        painter.end()
        return rulers

    def _look(self, view: View, *, fits: bool = False) -> None:
        self._fits = fits
        if view != self._view:
            self._view = view
            self.update()
            self.view_changed.emit(view.px_per_mm)

    def _sight(self, off: QPointF) -> Sight:
        return Sight(view=self._view, size=self.size(), ratio=self.devicePixelRatioF(), off=off)

    def _size(self) -> QSizeF:
        return QSizeF(self.size())
