"""Where on the sheet the canvas looks, and how close: millimetres to pixels and back."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from PySide6.QtCore import QPointF, QSize, QSizeF, Qt
from PySide6.QtGui import QColor, QPixmap, QTransform

from gaugecore.drawing.elements import Box
from gaugecore.polar import Point
from needlewright.ui.pixels import pixels_under

#: A millimetre as two pixels shows a metre; as 200 it fills the window.
LOOSEST_PX_PER_MM, CLOSEST_PX_PER_MM = 0.5, 200.0
#: As much of the page is seen when a place on it is looked at.
_SEEN_PART = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A look at the sheet.

    Attributes
    ----------
    centre_mm : tuple of float
        The point of the sheet in the middle of the canvas.
    px_per_mm : float
        How close.
    """

    centre_mm: Point = (0.0, 0.0)
    px_per_mm: float = 6.0

    def transform(self, size: QSizeF) -> QTransform:
        """Return the transform from sheet to canvas."""
        scale = self.px_per_mm
        return QTransform(
            scale,
            0,
            0,
            -scale,
            size.width() / 2 - self.centre_mm[0] * scale,
            size.height() / 2 + self.centre_mm[1] * scale,
        )

    def on_sheet(self, at_px: QPointF, size: QSizeF) -> Point:
        """Return the point of the sheet under a point of the canvas."""
        inverse, _ = self.transform(size).inverted()
        point = inverse.map(at_px)
        return point.x(), point.y()

    def fitted(self, box: Box, size: QSizeF, room_px: float) -> View:
        """Return the view that shows a whole page with some room round it."""
        across = (size.width() - 2 * room_px) / max(box.width_mm, 1e-6)
        up = (size.height() - 2 * room_px) / max(box.height_mm, 1e-6)
        return View(
            centre_mm=((box.left_mm + box.right_mm) / 2, (box.bottom_mm + box.top_mm) / 2),
            px_per_mm=_kept(min(across, up)),
        )

    def close_on(self, spot_mm: Point, box: Box, size: QSizeF) -> View:
        """Return the view with a point in its middle, close enough to see only what is near."""
        close = min(size.width(), size.height()) / (_SEEN_PART * max(box.width_mm, box.height_mm, 1e-6))
        return View(centre_mm=spot_mm, px_per_mm=_kept(max(close, self.px_per_mm)))

    def zoomed(self, factor: float, at_px: QPointF, size: QSizeF) -> View:
        """Return the view closer by a factor, the point under the mouse staying where it is."""
        fixed_mm = self.on_sheet(at_px, size)
        scale = _kept(self.px_per_mm * factor)
        return View(
            centre_mm=(
                fixed_mm[0] - (at_px.x() - size.width() / 2) / scale,
                fixed_mm[1] + (at_px.y() - size.height() / 2) / scale,
            ),
            px_per_mm=scale,
        )

    def moved(self, by_px: QPointF) -> View:
        """Return the view with the sheet shifted by so many pixels."""
        return replace(
            self,
            centre_mm=(
                self.centre_mm[0] - by_px.x() / self.px_per_mm,
                self.centre_mm[1] + by_px.y() / self.px_per_mm,
            ),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """A look at the sheet as it meets the screen: all that the pixels of a drawing depend on but its colours.

    Attributes
    ----------
    view : View
        Where it is looked at, and how close.
    size : QSize
        Of what is seen, in the units of the window.
    ratio : float
        Pixels of the screen a unit of the window.
    off : QPointF
        How far what is seen begins beyond a whole pixel of the screen, in units of the window: as it may on
        scaled screens.
    """

    view: View
    size: QSize
    ratio: float
    off: QPointF = field(default_factory=QPointF)

    @property
    def transform(self) -> QTransform:
        """Return the transform from sheet to pixels of the screen, from the whole pixel on."""
        moved = self.view.transform(QSizeF(self.size)) * QTransform.fromTranslate(self.off.x(), self.off.y())
        return moved * QTransform.fromScale(self.ratio, self.ratio)

    @property
    def pixels(self) -> QSize:
        """Return how many pixels of the screen are touched."""
        return pixels_under(self.size, self.ratio)

    def picture(self, ground: QColor | Qt.GlobalColor) -> QPixmap:
        """Return an empty picture of what is seen, to be painted on in pixels of the screen.

        Give it the `ratio` when that is done, and lay it ``off`` above and left of what is seen.
        """
        picture = QPixmap(self.pixels)
        picture.fill(ground)
        return picture


def _kept(px_per_mm: float) -> float:
    return min(max(px_per_mm, LOOSEST_PX_PER_MM), CLOSEST_PX_PER_MM)
