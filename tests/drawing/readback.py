"""Reads what the writers wrote, with parsers that are not ours, back into sheet coordinates.

svgelements for SVG, ezdxf's reader and auditor for DXF, pdfplumber for PDF.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import ezdxf
import pdfplumber
import svgelements
from ezdxf.document import Drawing as DxfDocument

from gaugecore.drawing.elements import Box
from gaugecore.polar import Point

#: CSS pixels and PDF points a millimetre: 96 and 72 to the inch (CSS; reportlab/lib/units.py).
PX_PER_MM = 96.0 / 25.4
PT_PER_MM = 72.0 / 25.4


@dataclass(frozen=True)
class Stretch:
    """A straight line as a file has it, from left to right, else upward."""

    start_mm: Point
    end_mm: Point
    width_mm: float

    def __lt__(self, other: Stretch) -> bool:
        return self.key() < other.key()

    def key(self) -> tuple[float, ...]:
        return (*(round(n, 2) + 0.0 for n in (*self.start_mm, *self.end_mm)), round(self.width_mm, 3))


def _stretch(one: Point, other: Point, width_mm: float) -> Stretch:
    # rounded, or dust would decide which end comes first
    start, end = sorted((one, other), key=lambda p: (round(p[0], 3), round(p[1], 3)))
    return Stretch(start, end, width_mm)


def svg_lines(content: bytes, box: Box) -> list[Stretch]:
    def place(x: float, y: float) -> Point:
        return box.left_mm + x / PX_PER_MM, box.top_mm - y / PX_PER_MM

    return sorted(
        _stretch(place(*start), place(*end), path.implicit_stroke_width / PX_PER_MM)
        for path in svgelements.SVG.parse(io.BytesIO(content), ppi=96).elements()
        if isinstance(path, svgelements.Path)
        for start, end in _straight_pieces(path)
    )


def _straight_pieces(path: svgelements.Path) -> list[tuple[Point, Point]]:
    """Return the ends of those parts of a path that are one straight line, in pixels."""
    found = []
    for subpath in path.as_subpaths():
        move, *drawn = subpath.segments()
        if len(drawn) == 1 and isinstance(drawn[0], svgelements.Line):
            found.append((tuple(move.end), tuple(drawn[0].end)))
    return found


def svg_sheet(content: bytes) -> svgelements.SVG:
    return svgelements.SVG.parse(io.BytesIO(content), ppi=96)


def pdf_lines(content: bytes, box: Box) -> list[Stretch]:
    def place(point: tuple[float, float]) -> Point:
        return box.left_mm + point[0] / PT_PER_MM, box.top_mm - point[1] / PT_PER_MM

    with pdfplumber.open(io.BytesIO(content)) as pdf:
        return sorted(
            _stretch(place(line["pts"][0]), place(line["pts"][1]), line["linewidth"] / PT_PER_MM)
            for line in pdf.pages[0].lines
        )


def dxf_document(content: bytes) -> DxfDocument:
    document = ezdxf.read(io.StringIO(content.decode("utf-8")))
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    return document


def dxf_lines(content: bytes) -> list[Stretch]:
    found = []
    for entity in dxf_document(content).modelspace():
        if entity.dxftype() == "LINE":
            found.append(_stretch(entity.dxf.start.vec2, entity.dxf.end.vec2, 0.1))
        elif entity.dxftype() == "LWPOLYLINE" and len(entity) == 2 and not entity.closed:
            (x1, y1, *_), (x2, y2, *_) = entity.get_points("xyb")
            found.append(_stretch((x1, y1), (x2, y2), entity.dxf.const_width))
    return sorted(
        Stretch((s.start_mm[0], s.start_mm[1]), (s.end_mm[0], s.end_mm[1]), s.width_mm) for s in found
    )
