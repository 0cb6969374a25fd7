"""What is painted anew in parts is, pixel for pixel, what is painted from nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QSize, QSizeF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPixmap
from PySide6.QtWidgets import QApplication

from gaugecore.drawing.elements import AnyElement, Circle, Drawing, Line, Operation, Strokes
from gaugecore.drawing.polylines import Polylines
from gaugecore.face.face import DetentMark, Face, Legend, Sector
from gaugecore.face.layout import lay_out_face
from gaugecore.panel.document import Panel
from needlewright.ui.halo import Halo
from needlewright.ui.painted_face import PaintedFace
from needlewright.ui.painting import own_colour, paint, stretches
from needlewright.ui.stretcher import Stretcher
from needlewright.ui.view import Sight, View

_GROUND = QColor("#e2dccf")
_SIZE = QSize(360, 320)


def _drawing(face: Face) -> Drawing:
    return lay_out_face(face, name="face", title="Face")


@pytest.fixture
def faces(panel: Panel) -> list[Face]:
    """A dial as it is edited: in one part after the other, back again, and in many at once."""
    plain = panel.instruments[0].face
    sectors = tuple(
        Sector(low_value=at, high_value=at + 15, inner_radius_mm=25, outer_radius_mm=28, colour=colour)
        for at, colour in ((5, "#1e7a3c"), (80, "#c8321e"))
    )
    first = plain.model_copy(update={"sectors": sectors, "detent_marks": (DetentMark(value=50),)})
    legends = first.legends
    assert legends
    assert first.numerals is not None
    moved = legends[0].model_copy(update={"x_mm": 2.5})
    updates: list[dict[str, object]] = [
        {},
        {"graduations": first.graduations.model_copy(update={"outer_radius_mm": 25.5})},
        {"graduations": first.graduations.model_copy(update={"outer_radius_mm": 25.0})},
        {"legends": (moved, *legends[1:])},
        {"legends": legends[1:]},
        {"legends": (*legends, Legend(text="TWICE", y_mm=5.0), Legend(text="TWICE", y_mm=5.0))},
        {"numerals": first.numerals.model_copy(update={"radius_mm": 16.0})},
        {"sectors": sectors[:1]},
        {"sectors": (sectors[0].model_copy(update={"high_value": 35.0}), sectors[1])},
        {"detent_marks": ()},
        {"ink_colour": "#204080"},
        {"diameter_mm": first.diameter_mm + 3.0},
        {},
    ]
    return [first.model_copy(update=update) for update in updates]


def _sight(drawing: Drawing, ratio: float) -> Sight:
    # at half pixels a widget may begin beside a whole one
    off = QPointF(0.5, 0.5) / ratio if ratio % 1.0 else QPointF()
    return Sight(view=View().fitted(drawing.box, QSizeF(_SIZE), 10.0), size=_SIZE, ratio=ratio, off=off)


def _rgb(picture: QPixmap) -> NDArray[np.int64]:
    image = picture.toImage().convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine() // 4, 4)
    return pixels[:, : image.width(), :3].astype(np.int64)


def _from_nothing(
    drawing: Drawing, sight: Sight, hidden: frozenset[Operation] = frozenset()
) -> NDArray[np.int64]:
    picture = QPixmap(sight.pixels)
    picture.fill(_GROUND)
    picture.setDevicePixelRatio(sight.ratio)
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(sight.off)
    painter.setTransform(sight.view.transform(QSizeF(sight.size)), combine=True)
    paint(painter, stretches(drawing.elements), lambda operation: operation not in hidden)
    painter.end()
    return _rgb(picture)


@pytest.mark.parametrize("ratio", [1.0, 1.5, 2.0])
def test_a_dial_edited_part_by_part_looks_as_if_it_were_painted_from_nothing(
    qapp: QApplication, faces: list[Face], ratio: float
) -> None:
    painted = PaintedFace()
    sight = _sight(_drawing(faces[0]), ratio)
    for face in faces:
        drawing = _drawing(face)
        painted.show(drawing.elements)
        assert (_rgb(painted.seen(sight, _GROUND)) == _from_nothing(drawing, sight)).all()


@pytest.mark.parametrize("ratio", [1.0, 1.5, 2.0])
def test_a_view_that_moves_between_edits_leaves_nothing_behind(
    qapp: QApplication, faces: list[Face], ratio: float
) -> None:
    painted = PaintedFace()
    first = _sight(_drawing(faces[0]), ratio)
    view = first.view
    size = QSizeF(_SIZE)
    views = [
        view,
        view.moved(QPointF(7, -3)),
        view.moved(QPointF(-60, 11)),
        view.moved(QPointF(0.25, 7.5)),
        view.zoomed(4.0, QPointF(200, 250), size),
        view.zoomed(40.0, QPointF(180, 210), size),
        view,
    ]
    for face, seen_from in zip(faces, views, strict=False):
        drawing, sight = _drawing(face), replace(first, view=seen_from)
        painted.show(drawing.elements)
        assert (_rgb(painted.seen(sight, _GROUND)) == _from_nothing(drawing, sight)).all()


def test_layers_and_colours_come_and_go_between_edits(qapp: QApplication, faces: list[Face]) -> None:
    painted = PaintedFace()
    sight = _sight(_drawing(faces[0]), 1.0)
    for face, hidden in zip(
        faces,
        (frozenset(), {Operation.CUT}, {Operation.GUIDE, Operation.CUT}, {Operation.PRINT}, frozenset()),
        strict=False,
    ):
        drawing = _drawing(face)
        painted.show(drawing.elements)
        painted.hide(frozenset(hidden))
        seen = _rgb(painted.seen(sight, _GROUND))
        assert (seen == _from_nothing(drawing, sight, frozenset(hidden))).all()
    by_night = _rgb(_shown(painted, _drawing(faces[0]).elements, sight, QColor("#000000")))
    assert not by_night.any()
    by_day = _rgb(_shown(painted, _drawing(faces[0]).elements, sight, _GROUND, dark=False))
    assert (by_day == _from_nothing(_drawing(faces[0]), sight)).all()


def _shown(
    painted: PaintedFace, elements: tuple[AnyElement, ...], sight: Sight, ground: QColor, *, dark: bool = True
) -> QPixmap:
    painted.show(elements, (lambda _: "#000000") if dark else own_colour)
    return painted.seen(sight, ground)


def test_stretches_that_are_kept_are_those_that_would_be_made(qapp: QApplication, faces: list[Face]) -> None:
    stretcher = Stretcher()
    for face in faces:
        elements = _drawing(face).elements
        kept, made = stretcher.stretches(elements), stretches(elements)
        assert [(p.operation, p.pen, p.brush, p.path) for p in kept] == [
            (p.operation, p.pen, p.brush, p.path) for p in made
        ]
    assert stretcher.stretches([]) == []


def test_what_lies_below_and_above_an_edit_stays_the_same(qapp: QApplication, faces: list[Face]) -> None:
    stretcher = Stretcher()
    before = stretcher.stretches(_drawing(faces[0]).elements)
    after = stretcher.stretches(_drawing(faces[3]).elements)
    made_anew = [one is not other for one, other in zip(before, after, strict=True)]
    assert len(made_anew) > 10
    # the legend, and the cuts above it: a line before them could have joined them
    assert sum(made_anew) == 2


def test_lines_join_the_lines_beside_them_when_what_parted_them_goes(qapp: QApplication) -> None:
    lines: list[AnyElement] = [
        Line(operation=Operation.PRINT, part="p", width_mm=0.5, start_mm=(at, 0), end_mm=(at, 5))
        for at in range(4)
    ]
    dot = Circle(operation=Operation.PRINT, part="d", centre_mm=(0, 0), radius_mm=1.0, filled=True)
    stretcher = Stretcher()
    assert len(stretcher.stretches([*lines[:2], dot, *lines[2:]])) == 3
    assert len(stretcher.stretches(lines)) == 1


def _surrounded(elements: tuple[AnyElement, ...], sight: Sight) -> NDArray[np.int64]:
    painted, halo = PaintedFace(), Halo()
    painted.show(elements)
    picture = painted.seen(sight, _GROUND)
    halo.show([element for element in elements if element.part.startswith("halo")])
    painter = QPainter(picture)
    halo.paint(painter, sight, QColor("#0000ff"), painted.letters)
    painter.end()
    return _rgb(picture)


@pytest.mark.parametrize("ratio", [1.0, 2.0])
@pytest.mark.parametrize("kind", ["text", "line", "disc"])
def test_a_halo_reaches_two_pixels_beyond_the_thing_and_no_more_than_three(
    qapp: QApplication, kind: str, ratio: float
) -> None:
    thing: dict[str, AnyElement] = {
        "text": Strokes(
            operation=Operation.PRINT, part="halo", width_mm=2.0, polylines=Polylines.of([((-9, 0), (9, 0))])
        ),
        "line": Line(operation=Operation.PRINT, part="halo", width_mm=2.0, start_mm=(-9, 0), end_mm=(9, 0)),
        "disc": Circle(operation=Operation.CUT, part="halo", width_mm=2.0, centre_mm=(0, -9), radius_mm=9.0),
    }
    sight = Sight(view=View(px_per_mm=10.0), size=_SIZE, ratio=ratio)
    column = _surrounded((thing[kind],), sight)[:, round(180 * ratio)]
    middle = round(160 * ratio)  # the upper edge of each thing runs 1 mm above the pivot
    edge = middle - round(10 * ratio)
    blue = column[:, 0] > column[:, 2]
    assert blue[edge - int(2 * ratio) : edge].all()
    assert not blue[: edge - int(3 * ratio)].any()


def test_a_text_too_large_for_the_screen_has_its_halo_too(qapp: QApplication) -> None:
    text = Strokes(
        operation=Operation.PRINT, part="halo", width_mm=2.0, polylines=Polylines.of([((-90, 0), (90, 0))])
    )
    sight = Sight(view=View(px_per_mm=10.0), size=_SIZE, ratio=1.0)
    column = _surrounded((text,), sight)[:, 180]
    assert column[148, 0] > column[148, 2]
    assert (column[140] == [_GROUND.blue(), _GROUND.green(), _GROUND.red()]).all()


def test_palette_of_the_picture_is_that_of_the_ground_it_is_asked_for(
    qapp: QApplication, faces: list[Face]
) -> None:
    painted = PaintedFace()
    drawing = _drawing(faces[0])
    painted.show(drawing.elements)
    for ground in (_GROUND, QColor(Qt.GlobalColor.black), _GROUND):
        corner = _rgb(painted.seen(_sight(drawing, 1.0), ground))[0, 0]
        assert corner.tolist() == [ground.blue(), ground.green(), ground.red()]
