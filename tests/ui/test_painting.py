"""The canvas paints what the SVG writer writes: checked with Qt's SVG renderer, a parser not ours."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QApplication

from gaugecore.drawing.elements import (
    AnyElement,
    Arc,
    Box,
    Circle,
    Drawing,
    Line,
    Operation,
    Outline,
    Strokes,
)
from gaugecore.drawing.polylines import Polylines
from gaugecore.drawing.svg import to_svg
from gaugecore.face.layout import lay_out_face
from gaugecore.movement.pointer_plate import draw_pointer
from gaugecore.panel.store import load_panel
from needlewright.samples import sample_names, sample_path
from needlewright.ui.painting import page_transform, paint_drawing

_PX_PER_MM = 8.0
_PRINT = Operation.PRINT


def _painted(drawing: Drawing) -> NDArray[np.int64]:
    def by_canvas(painter: QPainter) -> None:
        painter.setTransform(page_transform(drawing.box, _PX_PER_MM))
        paint_drawing(painter, drawing)

    return _pixels(drawing, by_canvas)


def _written(drawing: Drawing) -> NDArray[np.int64]:
    def by_renderer(painter: QPainter) -> None:
        size = QRectF(0, 0, drawing.box.width_mm * _PX_PER_MM, drawing.box.height_mm * _PX_PER_MM)
        renderer = QSvgRenderer(to_svg(drawing))
        assert renderer.isValid()
        renderer.render(painter, size)

    return _pixels(drawing, by_renderer)


def _pixels(drawing: Drawing, paint: object) -> NDArray[np.int64]:
    width, height = round(drawing.box.width_mm * _PX_PER_MM), round(drawing.box.height_mm * _PX_PER_MM)
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    paint(painter)  # type: ignore[operator]
    painter.end()
    return np.frombuffer(image.constBits(), np.uint8).reshape(height, width, 4)[:, :, :3].astype(np.int64)


def _assert_alike(drawing: Drawing) -> None:
    away = np.abs(_painted(drawing) - _written(drawing)).max(axis=2)
    # antialiasing may shade an edge differently, but no pixel may be ink in one and paper in the other
    assert away.max() <= 160, f"{drawing.name}: off by {away.max()} at {np.argwhere(away > 160)[:3]}"
    assert (away > 48).mean() < 0.004


@pytest.mark.slow
@pytest.mark.parametrize("name", sample_names())
def test_faces_and_pointers_of_the_samples_look_on_the_canvas_as_in_their_files(
    qapp: QApplication, name: str
) -> None:
    for instrument in load_panel(Path(sample_path(name))).instruments:
        _assert_alike(lay_out_face(instrument.face, name=instrument.id, title=instrument.title))
        _assert_alike(draw_pointer(instrument.pointer, name=instrument.id, title=instrument.title))


_ODD: dict[str, AnyElement] = {
    "line": Line(operation=_PRINT, part="p", width_mm=1.0, start_mm=(-4, -3), end_mm=(4, 3)),
    "arc": Arc(
        operation=_PRINT, part="p", width_mm=1.0, centre_mm=(1, 0), radius_mm=4, start_deg=-200, end_deg=80
    ),
    "small arc": Arc(
        operation=_PRINT, part="p", width_mm=0.5, centre_mm=(0, 0), radius_mm=4, start_deg=350, end_deg=390
    ),
    "circle": Circle(operation=_PRINT, part="p", width_mm=0.5, centre_mm=(1, 1), radius_mm=3),
    "disc": Circle(operation=_PRINT, part="p", centre_mm=(1, 1), radius_mm=3, filled=True),
    "bulges": Outline(
        operation=_PRINT,
        part="p",
        filled=True,
        loops=(
            ((-4, -3, 0.5), (3, -3, -0.3), (3, 3, 1.4), (-4, 3, 0.0)),
            ((-1, -1, 1.0), (1, -1, 1.0)),
        ),
    ),
    "strokes": Strokes(
        operation=_PRINT,
        part="p",
        width_mm=0.8,
        polylines=Polylines.of([((-3, -2), (0, 3), (3, -2)), ((-1, 0), (1, 0))]),
    ),
    "hairline": Circle(operation=Operation.CUT, part="p", colour="#d00000", centre_mm=(0, 0), radius_mm=4),
}


@pytest.mark.parametrize("name", list(_ODD))
def test_every_kind_of_element_is_painted_as_written(qapp: QApplication, name: str) -> None:
    box = Box(left_mm=-6, bottom_mm=-5, right_mm=6, top_mm=5)
    _assert_alike(Drawing(name="odd", title=name, box=box, elements=(_ODD[name],)))


@pytest.mark.parametrize("name", ["arc", "small arc", "circle"])
def test_curves_shade_each_pixel_by_the_part_they_cover(qapp: QApplication, name: str) -> None:
    """Against coverage worked out from the equation of a ring, 8 by 8 samples a pixel."""
    element = _ODD[name]
    assert isinstance(element, Arc | Circle)
    box = Box(left_mm=-6, bottom_mm=-5, right_mm=6, top_mm=5)
    painted = _painted(Drawing(name="odd", title=name, box=box, elements=(element,)))[:, :, 0]
    fine = 8
    rows, columns = np.mgrid[0 : 80 * fine, 0 : 96 * fine]
    x_mm = (columns + 0.5) / fine / _PX_PER_MM + box.left_mm - element.centre_mm[0]
    y_mm = box.top_mm - (rows + 0.5) / fine / _PX_PER_MM - element.centre_mm[1]
    ink = np.abs(np.hypot(x_mm, y_mm) - element.radius_mm) <= element.width_mm / 2
    if isinstance(element, Arc):
        dial_deg = 90.0 - np.degrees(np.arctan2(y_mm, x_mm))
        ink &= (dial_deg - element.start_deg) % 360.0 <= element.end_deg - element.start_deg
    exact = 255.0 * (1.0 - ink.reshape(80, fine, 96, fine).mean(axis=(1, 3)))
    assert np.abs(painted - exact).max() < 20.0


def test_operations_are_stacked_as_the_writers_stack_them(qapp: QApplication) -> None:
    disc = Circle(operation=_PRINT, part="a", centre_mm=(0, 0), radius_mm=3, filled=True, colour="#2060a0")
    cut = Line(
        operation=Operation.CUT, part="b", width_mm=1, start_mm=(-4, 0), end_mm=(4, 0), colour="#d00000"
    )
    box = Box(left_mm=-5, bottom_mm=-5, right_mm=5, top_mm=5)
    _assert_alike(Drawing(name="n", title="t", box=box, elements=(cut, disc)))
