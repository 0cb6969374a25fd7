"""The same face from SVG and from PDF, drawn by two renderers that know nothing of each other: one picture.

Qt draws the SVG, poppler the PDF. They may differ at edges, by antialiasing, and nowhere else.
"""

from __future__ import annotations

import io
import subprocess
from pathlib import Path

import numpy as np
import pytest
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


def away_from_edges(image: Image.Image) -> tuple[NDArray[np.int16], NDArray[np.bool_]]:
    """Return the pixels, and where all their neighbours two pixels around are of the same colour."""
    widest = np.asarray(image.filter(ImageFilter.MaxFilter(5)), dtype=np.int16)
    least = np.asarray(image.filter(ImageFilter.MinFilter(5)), dtype=np.int16)
    return np.asarray(image, dtype=np.int16), (widest - least).max(axis=2) < 16


@pytest.mark.slow
@pytest.mark.parametrize(
    "face", [RUDDER, FUEL, FLAP, preset("duplex")], ids=["rudder", "fuel", "flap", "duplex"]
)
def test_two_renderers_draw_one_picture(face: Face, tmp_path: Path, qtbot: QtBot) -> None:
    drawing = lay_out_face(face, name="face", title="Face")
    poppler = by_poppler(drawing, tmp_path)
    qt = by_qt(drawing, poppler.width, poppler.height)
    (one, one_calm), (other, other_calm) = away_from_edges(poppler), away_from_edges(qt)
    calm = one_calm & other_calm
    assert calm.mean() > 0.5
    assert np.abs(one - other).max(axis=2)[calm].max() <= 8
    # thin lines have no calm inside: blurred, both pictures carry the same ink in the same places
    blurred = [np.asarray(i.filter(ImageFilter.BoxBlur(6)), dtype=np.int16) for i in (poppler, qt)]
    assert np.abs(blurred[0] - blurred[1]).max() <= 40
