"""The same face drawn by three renderers that know nothing of each other: one picture.

Qt and resvg draw the SVG, poppler the PDF. They may differ at edges, by antialiasing, and nowhere else.
"""

from __future__ import annotations

import io
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import resvg_py
from numpy.typing import NDArray
from PIL import Image, ImageFilter
from PySide6.QtCore import QBuffer, QByteArray
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgRenderer
from pytestqt.qtbot import QtBot

from gaugecore.drawing.elements import Drawing
from gaugecore.drawing.pdf import to_pdf
from gaugecore.drawing.svg import to_svg
from gaugecore.face.face import Face
from gaugecore.face.layout import lay_out_face
from gaugecore.face.presets import preset
from tests.face.designs import FLAP, FUEL, RUDDER

DPI = 300


def by_qt(drawing: Drawing, width: int, height: int) -> Image.Image:
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    QSvgRenderer(QByteArray(to_svg(drawing))).render(painter)
    painter.end()
    buffer = QBuffer()
    buffer.open(QBuffer.OpenModeFlag.WriteOnly)
    image.save(buffer, "PNG")  # type: ignore[call-overload]
    return Image.open(io.BytesIO(bytes(buffer.data().data()))).convert("RGB")


def by_poppler(drawing: Drawing, folder: Path) -> Image.Image:
    (folder / "face.pdf").write_bytes(to_pdf([drawing]))
    subprocess.run(["pdftoppm", "-r", str(DPI), "-png", folder / "face.pdf", folder / "face"], check=True)
    return Image.open(next(folder.glob("face*.png"))).convert("RGB")


def by_resvg(drawing: Drawing, width: int, height: int) -> Image.Image:
    picture = resvg_py.svg_to_bytes(svg_string=to_svg(drawing).decode(), dpi=DPI, background="#ffffff")
    # rounding a sheet to whole pixels may cost one
    return Image.open(io.BytesIO(bytes(picture))).convert("RGB").resize((width, height))


def away_from_edges(image: Image.Image) -> tuple[NDArray[np.int16], NDArray[np.bool_]]:
    """Return the pixels, and where all their neighbours two pixels around are of the same colour."""
    widest = np.asarray(image.filter(ImageFilter.MaxFilter(5)), dtype=np.int16)
    least = np.asarray(image.filter(ImageFilter.MinFilter(5)), dtype=np.int16)
    return np.asarray(image, dtype=np.int16), (widest - least).max(axis=2) < 16


def assert_same_picture(first: Image.Image, second: Image.Image) -> None:
    (one, one_calm), (other, other_calm) = away_from_edges(first), away_from_edges(second)
    calm = one_calm & other_calm
    assert calm.mean() > 0.5
    assert np.abs(one - other).max(axis=2)[calm].max() <= 8
    # thin lines have no calm inside: blurred, both pictures carry the same ink in the same places
    blurred = [np.asarray(i.filter(ImageFilter.BoxBlur(6)), dtype=np.int16) for i in (first, second)]
    assert np.abs(blurred[0] - blurred[1]).max() <= 40


@pytest.mark.slow
@pytest.mark.parametrize(
    "face", [RUDDER, FUEL, FLAP, preset("duplex")], ids=["rudder", "fuel", "flap", "duplex"]
)
def test_all_renderers_draw_one_picture(face: Face, tmp_path: Path, qtbot: QtBot) -> None:
    drawing = lay_out_face(face, name="face", title="Face")
    poppler = by_poppler(drawing, tmp_path)
    qt = by_qt(drawing, poppler.width, poppler.height)
    resvg = by_resvg(drawing, poppler.width, poppler.height)
    assert_same_picture(qt, resvg)
    assert_same_picture(qt, poppler)


@pytest.mark.slow
def test_a_mark_that_one_renderer_leaves_out_is_noticed(qtbot: QtBot) -> None:
    drawing = lay_out_face(FLAP, name="face", title="Face")
    lacking = replace(drawing, elements=tuple(e for e in drawing.elements if e.part != "detent_marks.1"))
    with pytest.raises(AssertionError):
        assert_same_picture(by_qt(drawing, 850, 850), by_resvg(lacking, 850, 850))
