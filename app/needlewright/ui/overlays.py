"""What is laid over the dial to measure with: rulers along the edges, a protractor round the pivot."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QLinearGradient, QPainter, QPalette, QPen, QPolygonF

from gaugecore.calibration.readings import Direction
from gaugecore.drawing.elements import AnyElement, Circle, Operation
from gaugecore.polar import Point, arc_length_mm, dial_to_xy_mm
from needlewright.ui.translation import with_minus
from needlewright.ui.view import View

RULER_PX = 18
#: Spacings of the rulers' lines in mm, and how many pixels apart two of them must be.
_SPACINGS_MM = (0.1, 0.5, 1.0, 5.0, 10.0, 50.0, 100.0)
_CLOSEST_PX = 4.5
_NUMBERED_PX = 46.0
#: Larger numbers would not fit a ruler.
_LARGEST_POINTS = 7.5
_TOP_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
#: The ring round a place, and its two tones: on any ground one of them stands out 3 to 1 (WCAG 2.1, 1.4.11).
_RING_PX = 22
RING_LIGHT, RING_DARK = "#ffffff", "#123f37"
#: Spacings of the protractor's lines in degrees, in which its numbers stand too.
_SPACINGS_DEG = (1, 5, 10, 30, 90)
#: Its lines reach outwards from the rim, the numbered ones farthest, but not as far as the caption.
_LINE_PX, _LONG_LINE_PX, _LONGEST_LINE_MM = 5.0, 9.0, 1.6
_NUMBER_SIZE_PX, _GAP_PX = QSizeF(34, 16), 2.0


def disc_of(elements: Sequence[AnyElement]) -> Circle | None:
    """Return the disc that is cut, the largest of what is round; None when nothing is."""
    discs = [e for e in elements if isinstance(e, Circle) and e.operation is Operation.CUT]
    return max(discs, key=lambda circle: circle.radius_mm, default=None)


def paint_sheen(painter: QPainter, elements: Sequence[AnyElement]) -> None:
    """Paint the light that lies on a smooth sheet over the disc that is cut, the painter's units mm."""
    disc = disc_of(elements)
    if disc is None:
        return
    (x_mm, y_mm), r_mm = disc.centre_mm, disc.radius_mm
    light = QLinearGradient(x_mm - r_mm, y_mm + r_mm, x_mm + r_mm, y_mm - r_mm)
    for at, alpha in ((0.0, 90), (0.38, 26), (0.40, 70), (0.52, 14), (0.54, 0), (1.0, 0)):
        light.setColorAt(at, QColor(255, 255, 255, alpha))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(light)
    painter.drawEllipse(QPointF(x_mm, y_mm), r_mm, r_mm)


def paint_rulers(painter: QPainter, view: View, size: QSizeF, palette: QPalette, font: QFont) -> None:
    """Paint millimetre rulers along the top and the left edge, zero at the pivot."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    small = QFont(font)
    small.setPointSizeF(min(max(font.pointSizeF() * 0.78, 6.5), _LARGEST_POINTS))
    painter.setFont(small)
    painter.fillRect(QRectF(0, 0, size.width(), RULER_PX), palette.color(QPalette.ColorRole.Base))
    painter.fillRect(QRectF(0, 0, RULER_PX, size.height()), palette.color(QPalette.ColorRole.Base))
    painter.setPen(_hair(painter, palette.color(QPalette.ColorRole.PlaceholderText)))
    letters = QFontMetricsF(small, painter.device())
    fine_mm = _spacing_mm(view, _CLOSEST_PX)
    numbered_mm = _spacing_mm(view, _NUMBERED_PX)
    transform = view.transform(size)
    left_mm, top_mm = view.on_sheet(QPointF(RULER_PX, RULER_PX), size)
    right_mm, bottom_mm = view.on_sheet(QPointF(size.width(), size.height()), size)
    lines: list[QLineF] = []
    for step in range(math.ceil(left_mm / fine_mm), math.floor(right_mm / fine_mm) + 1):
        x_px = transform.map(QPointF(step * fine_mm, 0)).x()
        numbered = _is_multiple(step * fine_mm, numbered_mm)
        lines.append(QLineF(x_px, RULER_PX - (8 if numbered else 4), x_px, RULER_PX))
        text = _length_words(step * fine_mm)
        if numbered and x_px + 2 + letters.horizontalAdvance(text) <= size.width():
            painter.drawText(QRectF(x_px + 2, 0, 60, RULER_PX - 5), _TOP_LEFT, text)
    for step in range(math.ceil(bottom_mm / fine_mm), math.floor(top_mm / fine_mm) + 1):
        y_px = transform.map(QPointF(0, step * fine_mm)).y()
        numbered = _is_multiple(step * fine_mm, numbered_mm)
        lines.append(QLineF(RULER_PX - (8 if numbered else 4), y_px, RULER_PX, y_px))
        text = _length_words(step * fine_mm)
        if numbered and y_px - 2 - letters.horizontalAdvance(text) >= RULER_PX:
            painter.save()
            painter.translate(0, y_px)
            painter.rotate(-90)
            painter.drawText(QRectF(2, 0, 60, RULER_PX - 5), _TOP_LEFT, text)
            painter.restore()
    painter.drawLines(lines)
    painter.fillRect(QRectF(0, 0, RULER_PX, RULER_PX), palette.color(QPalette.ColorRole.Base))
    painter.drawText(QRectF(0, 0, RULER_PX, RULER_PX), Qt.AlignmentFlag.AlignCenter, "mm")


def paint_ring(painter: QPainter, spot_mm: Point, hair_mm: float) -> None:
    """Paint a ring round a place, in sheet coordinates: dark on light, so that it shows on any ground.

    Parameters
    ----------
    painter : QPainter
        Its units mm.
    spot_mm : tuple of float
        The place.
    hair_mm : float
        Length of a pixel.
    """
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for colour, width in ((RING_LIGHT, 7), (RING_DARK, 3)):
        painter.setPen(QPen(QColor(colour), width * hair_mm))
        painter.drawEllipse(QPointF(*spot_mm), _RING_PX * hair_mm, _RING_PX * hair_mm)


def protractor_lines(view: View, size: QSizeF, radius_mm: float) -> list[QLineF]:
    """Return the lines of the protractor: outwards from the rim, closer together the closer one looks."""
    fine_deg = _spacing_deg(view, radius_mm, _CLOSEST_PX)
    numbered_deg = _spacing_deg(view, radius_mm, _NUMBERED_PX)
    transform = view.transform(size)
    lines = []
    for deg in range(0, 360, fine_deg):
        long_px = _LONG_LINE_PX if deg % numbered_deg == 0 else _LINE_PX
        outer_mm = radius_mm + min(long_px / view.px_per_mm, _LONGEST_LINE_MM)
        ends = (dial_to_xy_mm(deg, reach_mm) for reach_mm in (radius_mm, outer_mm))
        lines.append(QLineF(*(transform.map(QPointF(*end)) for end in ends)))
    return lines


def protractor_numbers(view: View, size: QSizeF, radius_mm: float) -> list[tuple[int, QRectF]]:
    """Return the numbers of the protractor with where they stand.

    They stand outside the rim, clear of what is drawn on the face; those at the foot inside, for outside is
    the caption.
    """
    transform = view.transform(size)
    found = []
    for deg in range(0, 360, _spacing_deg(view, radius_mm, _NUMBERED_PX)):
        across, up = dial_to_xy_mm(deg, 1.0)
        half_px = (_NUMBER_SIZE_PX.width() * abs(across) + _NUMBER_SIZE_PX.height() * abs(up)) / 2
        is_at_foot = up < -abs(across)
        away_px = -_GAP_PX - half_px if is_at_foot else _LONG_LINE_PX + _GAP_PX + half_px
        place = QRectF(QPointF(), _NUMBER_SIZE_PX)
        place.moveCenter(transform.map(QPointF(*dial_to_xy_mm(deg, radius_mm + away_px / view.px_per_mm))))
        found.append((deg, place))
    return found


def paint_protractor(
    painter: QPainter, view: View, size: QSizeF, radius_mm: float, palette: QPalette
) -> None:
    """Paint a protractor round the pivot, on the rim of the disc: dial angles in degrees."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(palette.color(QPalette.ColorRole.Highlight), 1))
    painter.drawLines(protractor_lines(view, size, radius_mm))
    plate = palette.color(QPalette.ColorRole.Base)
    for deg, place in protractor_numbers(view, size, radius_mm):
        painter.fillRect(place, plate)
        painter.drawText(place, Qt.AlignmentFlag.AlignCenter, f"{deg}°")


def paint_target(
    painter: QPainter, dial_deg: float, direction: Direction, radius_mm: float, palette: QPalette
) -> None:
    """Paint, in sheet coordinates, a wedge at a dial angle and a sweep on the side the needle comes from."""
    accent = palette.color(QPalette.ColorRole.Highlight)
    outer_mm, inner_mm = radius_mm - 0.5, radius_mm - 5.0
    wedge = QPolygonF(
        [
            QPointF(*dial_to_xy_mm(dial_deg, inner_mm)),
            QPointF(*dial_to_xy_mm(dial_deg - 2.0, outer_mm)),
            QPointF(*dial_to_xy_mm(dial_deg + 2.0, outer_mm)),
        ]
    )
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(accent)
    painter.drawPolygon(wedge)
    if direction is Direction.UNKNOWN:
        return
    side = -1.0 if direction is Direction.UP else 1.0
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(accent, 0.6))
    middle_mm = (outer_mm + inner_mm) / 2
    way = [QPointF(*dial_to_xy_mm(dial_deg + side * away_deg, middle_mm)) for away_deg in range(20, 2, -1)]
    painter.drawPolyline(QPolygonF(way))
    for edge_mm in (middle_mm - 1.0, middle_mm + 1.0):
        painter.drawLine(way[-1], QPointF(*dial_to_xy_mm(dial_deg + side * 5.0, edge_mm)))


def _spacing_mm(view: View, apart_px: float) -> float:
    return next((mm for mm in _SPACINGS_MM if mm * view.px_per_mm >= apart_px), _SPACINGS_MM[-1])


def _is_multiple(length_mm: float, of_mm: float) -> bool:
    return abs(length_mm / of_mm - round(length_mm / of_mm)) < 1e-6


def _spacing_deg(view: View, radius_mm: float, apart_px: float) -> int:
    degree_px = arc_length_mm(radius_mm, 1.0) * view.px_per_mm
    return next((deg for deg in _SPACINGS_DEG if deg * degree_px >= apart_px), _SPACINGS_DEG[-1])


def _hair(painter: QPainter, colour: QColor) -> QPen:
    """Return a pen of whole pixels of the screen: a line of one and a half would now be one, now two."""
    pen = QPen(colour, max(1, math.floor(painter.device().devicePixelRatioF())))
    pen.setCosmetic(True)
    return pen


def _length_words(length_mm: float) -> str:
    text = f"{length_mm:.1f}".removesuffix(".0")
    return "0" if text == "-0" else with_minus(text)
