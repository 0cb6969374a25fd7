"""Faces in SVG, DXF and PDF, read back by parsers that are not ours and held against closed-form geometry.

Closed form: a graduation at value v of a linear scale stands at low_deg + (v - low) (high_deg - low_deg) /
(high - low), from R to R - length, at (r sin a, r cos a) for a dial angle a.
"""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import pairwise

import pytest
from ezdxf._options import options
from reportlab import rl_config
from reportlab.pdfbase import pdfdoc

from gaugecore.drawing.dxf import to_dxf
from gaugecore.drawing.elements import Box, Drawing, Operation, Strokes
from gaugecore.drawing.pdf import to_pdf
from gaugecore.drawing.polylines import Polylines
from gaugecore.drawing.svg import to_svg
from gaugecore.face.face import DetentShape, Face
from gaugecore.face.layout import lay_out_face
from tests.drawing.readback import Stretch, dxf_document, dxf_lines, pdf_lines, svg_lines, svg_sheet
from tests.face.designs import FACES, FLAP, FUEL, RUDDER

NEAR_MM, NEAR_DEG = 0.01, 0.01
READERS = {
    "svg": lambda drawing: svg_lines(to_svg(drawing), drawing.box),
    "dxf": lambda drawing: dxf_lines(to_dxf(drawing)),
    "pdf": lambda drawing: pdf_lines(to_pdf([drawing]), drawing.box),
}


def drawn(face: Face) -> Drawing:
    return lay_out_face(face, name="face", title="Face")


def wanted_lines(face: Face) -> list[tuple[float, float, float, float]]:
    """Return dial angle, outer and inner radius and width of every graduation, by counting in integers."""
    rings = face.graduations
    (low, low_deg), (high, high_deg) = face.scale.points[0], face.scale.points[-1]
    unit = rings.minor_step
    assert unit is not None
    wanted = []
    for count in range(round(low / unit), round(high / unit) + 1):
        style = rings.minor
        if rings.intermediate_step and count % round(rings.intermediate_step / unit) == 0:
            style = rings.intermediate
        if count % round(rings.major_step / unit) == 0:
            style = rings.major
        deg = low_deg + (count - round(low / unit)) * (high_deg - low_deg) / round((high - low) / unit)
        outer_mm = rings.outer_radius_mm
        stop = next((m for m in face.detent_marks if abs(m.value - count * unit) < 1e-9), None)
        if stop is None:
            wanted.append((deg, outer_mm, outer_mm - style.length_mm, style.width_mm))
        else:  # the line of a stop takes the place of the graduation's, a bar twice as broad
            broader = 2.0 if stop.shape is DetentShape.BAR else 1.0
            wanted.append((deg, outer_mm, outer_mm - rings.major.length_mm, rings.major.width_mm * broader))
    return wanted


def polar(point: tuple[float, float]) -> tuple[float, float]:
    return math.degrees(math.atan2(point[0], point[1])), math.hypot(*point)


@pytest.mark.parametrize("form", READERS)
@pytest.mark.parametrize("face", [RUDDER, FUEL, FLAP], ids=["rudder", "fuel", "flap"])
def test_every_graduation_stands_where_closed_form_geometry_says(face: Face, form: str) -> None:
    lines = READERS[form](drawn(face))
    for deg, outer_mm, inner_mm, width_mm in wanted_lines(face):
        assert any(is_graduation(line, deg, outer_mm, inner_mm, width_mm) for line in lines), deg


def is_graduation(line: Stretch, deg: float, outer_mm: float, inner_mm: float, width_mm: float) -> bool:
    (far_deg, far_mm), (near_deg, near_mm) = sorted(
        (polar(line.start_mm), polar(line.end_mm)), key=lambda p: -p[1]
    )
    turn = max(abs((angle - deg + 180.0) % 360.0 - 180.0) for angle in (far_deg, near_deg))
    return (
        turn < NEAR_DEG
        and abs(far_mm - outer_mm) < NEAR_MM
        and abs(near_mm - inner_mm) < NEAR_MM
        and abs(line.width_mm - width_mm) < NEAR_MM
    )


@pytest.mark.parametrize("name", FACES)
def test_the_three_formats_agree_with_each_other(name: str) -> None:
    drawing = drawn(FACES[name])
    svg, pdf = READERS["svg"](drawing), READERS["pdf"](drawing)
    dxf = READERS["dxf"](drawing)
    assert len(svg) == len(dxf) == len(pdf) > 0
    for line in svg:
        for others in (dxf, pdf):
            assert any(same(line, other) for other in others), line


def same(one: Stretch, other: Stretch) -> bool:
    ends = zip((*one.start_mm, *one.end_mm), (*other.start_mm, *other.end_mm), strict=True)
    return all(abs(a - b) < NEAR_MM for a, b in ends) and abs(one.width_mm - other.width_mm) < NEAR_MM


@pytest.mark.parametrize("name", FACES)
def test_the_page_is_exactly_the_drawings_box(name: str) -> None:
    import io

    import pdfplumber

    drawing = drawn(FACES[name])
    size_mm = FACES[name].diameter_mm + 12.0
    assert (drawing.box.width_mm, drawing.box.height_mm) == (size_mm, size_mm)
    svg = to_svg(drawing)
    assert f'width="{size_mm:g}mm"'.encode() in svg
    assert f'viewBox="0 0 {size_mm:g} {size_mm:g}"'.encode() in svg
    # 1 mm = 96 / 25.4 px and 72 / 25.4 pt; $INSUNITS 4 is mm (ezdxf/units.py)
    assert svg_sheet(svg).width == pytest.approx(size_mm * 96.0 / 25.4)
    with pdfplumber.open(io.BytesIO(to_pdf([drawing]))) as pdf:
        assert pdf.pages[0].mediabox == pytest.approx((0, 0, size_mm * 72 / 25.4, size_mm * 72 / 25.4))
    document = dxf_document(to_dxf(drawing))
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    assert document.header["$ACADVER"] == "AC1024"


def test_sectors_keep_true_arcs_in_dxf() -> None:
    document = dxf_document(to_dxf(drawn(FUEL)))
    colours = {0xB3261E}
    rings = [
        e
        for e in document.modelspace().query("LWPOLYLINE")
        if e.closed and e.dxf.get("true_color") in colours
    ]
    assert len(rings) == 1
    arcs = [arc for arc in rings[0].virtual_entities() if arc.dxftype() == "ARC"]
    # E to a tenth, over an arc of 120°, is 12°, at the sector's two radii about the pivot
    assert sorted(arc.dxf.radius for arc in arcs) == pytest.approx([26.4, 28.0])
    for arc in arcs:
        assert arc.dxf.center.magnitude == pytest.approx(0.0, abs=1e-6)
        assert (arc.dxf.end_angle - arc.dxf.start_angle) % 360.0 == pytest.approx(12.0)
        assert arc.dxf.end_angle % 360.0 == pytest.approx(150.0)


def test_the_dxf_has_a_layer_an_operation_and_true_circles() -> None:
    document = dxf_document(to_dxf(drawn(RUDDER)))
    assert {e.dxf.layer for e in document.modelspace()} == {"CUT", "PRINT", "GUIDE"}
    circles = {
        (round(c.dxf.center.x, 6), round(c.dxf.center.y, 6), c.dxf.radius)
        for c in document.modelspace().query("CIRCLE[layer=='CUT']")
    }
    hole = (round(27.0 * math.sin(math.radians(100.0)), 6), round(27.0 * math.cos(math.radians(100.0)), 6))
    assert circles == {(0.0, 0.0, 40.0), (0.0, 0.0, 3.0), (*hole, 1.2), (-hole[0], -hole[1], 1.2)}


def test_no_two_things_in_a_dxf_have_one_handle_and_the_next_is_free() -> None:
    content = to_dxf(drawn(FUEL)).decode()
    tags = content.split("\n")
    # group code 5 is the handle of everything but dimension styles, which this file has none of its own
    handles = [int(value, 16) for code, value in zip(tags[::2], tags[1::2], strict=False) if code == "  5"]
    seed = int(content.partition("$HANDSEED\n  5\n")[2].partition("\n")[0], 16)
    handles.remove(seed)
    assert len(handles) == len(set(handles))
    assert seed > max(handles)


def test_copies_of_a_specimen_are_what_the_library_would_have_written_itself() -> None:
    import io

    import ezdxf

    document = dxf_document(to_dxf(drawn(FUEL)))
    again = io.StringIO()
    document.write(again)
    rewritten = ezdxf.read(io.StringIO(again.getvalue()))
    for entity, other in zip(document.modelspace(), rewritten.modelspace(), strict=True):
        assert entity.dxf.all_existing_dxf_attribs() == other.dxf.all_existing_dxf_attribs()


def test_a_library_that_writes_otherwise_is_found_out() -> None:
    from ezdxf.entities.line import Line

    from gaugecore.drawing.dxf_specimens import Look, specimen

    with pytest.raises(RuntimeError, match="otherwise than expected"):
        specimen(lambda *_: Line.new(), Look("17", "CUT", 0, 0.0), None, 4)


def test_the_graduations_of_a_rank_are_one_path_of_the_svg() -> None:
    paths = {e.id: e for e in svg_sheet(to_svg(drawn(FUEL))).elements() if getattr(e, "id", None)}
    lines = len(list(paths["part-graduations.minor"].as_subpaths()))
    assert lines == sum(e.part.startswith("graduations.minor.") for e in drawn(FUEL).elements)


def test_arcs_in_pdf_leave_the_circle_by_less_than_a_micrometre() -> None:
    import io

    import pdfplumber

    with pdfplumber.open(io.BytesIO(to_pdf([drawn(RUDDER)]))) as pdf:
        page = pdf.pages[0]
        outline = max((c for c in page.curves if c["stroke"] and not c["fill"]), key=lambda c: c["width"])
        path = outline["path"]
    middle = float(page.width) / 2.0
    start = path[0][1]
    worst_mm = 0.0
    for _, *points in path[1:]:
        if len(points) == 3:
            for step in range(11):
                x, y = bezier(step / 10.0, start, *points)
                worst_mm = max(worst_mm, abs(math.hypot(x - middle, y - middle) * 25.4 / 72.0 - 40.0))
            start = points[-1]
    assert worst_mm < 1e-3


def bezier(t: float, *points: tuple[float, float]) -> tuple[float, float]:
    while len(points) > 1:
        points = tuple((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for a, b in pairwise(points))
    return points[0]


@pytest.mark.parametrize("form", ["svg", "dxf", "pdf"])
def test_the_same_drawing_gives_the_same_bytes(form: str) -> None:
    drawing = drawn(FLAP)
    written = {"svg": to_svg, "dxf": to_dxf, "pdf": lambda d: to_pdf([d])}[form]
    assert written(drawing) == written(drawing)


def test_strokes_at_whole_millimetres_are_written_as_any_others() -> None:
    def with_points(points: tuple[tuple[float, float], ...]) -> Drawing:
        strokes = Strokes(
            operation=Operation.ENGRAVE, part="p", width_mm=0.5, polylines=Polylines.of([points])
        )
        box = Box(left_mm=-5.0, bottom_mm=-5.0, right_mm=5.0, top_mm=5.0)
        return Drawing(name="n", title="N", box=box, elements=(strokes,))

    whole, same = with_points(((-3, -2), (0, 3))), with_points(((-3.0, -2.0), (0.0, 3.0)))
    assert to_svg(whole) == to_svg(same)
    assert to_dxf(whole) == to_dxf(same)
    assert to_pdf([whole]) == to_pdf([same])


def test_several_threads_write_the_same_bytes_and_leave_the_libraries_as_they_were() -> None:
    drawings = [replace(drawn(RUDDER), name=f"face-{number}") for number in range(8)]
    before = rl_config.useA85, pdfdoc.PDFZCompress, options.write_fixed_meta_data_for_testing
    with ThreadPoolExecutor(4) as threads:
        written = set(threads.map(lambda drawing: (to_pdf([drawing]), to_dxf(drawing)), drawings))
    assert len(written) == 1
    assert (rl_config.useA85, pdfdoc.PDFZCompress, options.write_fixed_meta_data_for_testing) == before
