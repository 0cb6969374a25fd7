"""What stands fixed on a face beside the scale: legends, index triangles, lubber line, icons, apertures."""

from __future__ import annotations

import math

from gaugecore.drawing.elements import AnyElement, Line, Operation, Outline, Vertex
from gaugecore.drawing.guides import CUT_COLOUR
from gaugecore.drawing.outline_font import contours_of, flattened_mm
from gaugecore.drawing.winding import filled_by_winding
from gaugecore.errors import DesignError
from gaugecore.face.face import Aperture, Face, Icon, IndexTriangle
from gaugecore.face.words import word, word_on_arc
from gaugecore.polar import bulge_of, dial_to_xy_mm, turned


def legend_elements(face: Face) -> list[AnyElement]:
    """Return the legends of a face, straight or along an arc.

    Raises
    ------
    DesignError
        If one cannot be lettered.
    """
    drawn: list[AnyElement] = []
    for index, legend in enumerate(face.legends):
        part, where = f"legends.{index}", f"legends.{index}.text"
        if legend.arc_radius_mm is None:
            drawn += word(
                face,
                legend.text,
                part=part,
                where=where,
                height_mm=legend.height_mm,
                stroke_mm=legend.stroke_mm,
                at_mm=(legend.x_mm, legend.y_mm),
                turn_deg=legend.turn_deg,
                colour=legend.colour,
            )
        else:
            drawn += word_on_arc(
                face,
                legend.text,
                part=part,
                where=where,
                height_mm=legend.height_mm,
                stroke_mm=legend.stroke_mm,
                radius_mm=legend.arc_radius_mm,
                middle_deg=legend.turn_deg,
                heads_in=legend.heads_in,
                colour=legend.colour,
            )
    return drawn


def fixed_elements(face: Face) -> list[AnyElement]:
    """Return index triangles, lubber line and icons.

    Raises
    ------
    DesignError
        If an icon's path cannot be understood.
    """
    drawn: list[AnyElement] = [
        _triangle(face, mark, f"index_triangles.{index}") for index, mark in enumerate(face.index_triangles)
    ]
    lubber = face.lubber_line
    if lubber is not None:
        drawn.append(
            Line(
                operation=Operation.PRINT,
                part="lubber_line",
                width_mm=lubber.width_mm,
                colour=lubber.colour or face.ink_colour,
                start_mm=dial_to_xy_mm(lubber.dial_deg, lubber.outer_radius_mm),
                end_mm=dial_to_xy_mm(lubber.dial_deg, lubber.inner_radius_mm),
            )
        )
    drawn += [_icon(face, icon, index) for index, icon in enumerate(face.icons)]
    return drawn


def aperture_elements(face: Face) -> list[AnyElement]:
    """Return the windows of a face, to be cut."""
    return [
        Outline(
            operation=Operation.CUT,
            part=f"apertures.{index}",
            colour=CUT_COLOUR,
            loops=(_window(aperture),),
        )
        for index, aperture in enumerate(face.apertures)
    ]


def _triangle(face: Face, mark: IndexTriangle, part: str) -> Outline:
    foot_mm = mark.radius_mm - mark.size_mm if mark.points_outward else mark.radius_mm + mark.size_mm
    half_mm = mark.size_mm * 0.5
    corners = ((0.0, mark.radius_mm), (half_mm, foot_mm), (-half_mm, foot_mm))
    return Outline(
        operation=Operation.PRINT,
        part=part,
        colour=mark.colour or face.ink_colour,
        filled=True,
        loops=(tuple((*turned(corner, mark.dial_deg), 0.0) for corner in corners),),
    )


def _window(aperture: Aperture) -> tuple[Vertex, ...]:
    """Return the loop of a rectangle with round corners, clockwise from the top left."""
    half_width, half_height = aperture.width_mm / 2.0, aperture.height_mm / 2.0
    round_mm = min(aperture.corner_mm, half_width, half_height)
    bulge = bulge_of(90.0) if round_mm else 0.0
    vertices: list[Vertex] = []
    for x_side, y_side in ((-1, 1), (1, 1), (1, -1), (-1, -1)):
        x, y = aperture.x_mm + x_side * half_width, aperture.y_mm + y_side * half_height
        # clockwise, a corner is entered along one side and left along the next
        before = (x, y - y_side * round_mm) if x_side * y_side < 0 else (x - x_side * round_mm, y)
        after = (x - x_side * round_mm, y) if x_side * y_side < 0 else (x, y - y_side * round_mm)
        vertices.append((*before, bulge))
        if round_mm:
            vertices.append((*after, 0.0))
    return tuple(vertices)


def _icon(face: Face, icon: Icon, index: int) -> Outline:
    """Return an icon scaled to its size, its middle where it is put; y runs down in path data."""
    contours = _path_contours(icon, index)
    points = [point for contour in contours for curve in contour for point in curve]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    extent = max(max(xs) - min(xs), max(ys) - min(ys))
    scale = icon.size_mm / extent
    middle_x, middle_y = (min(xs) + max(xs)) / 2.0, (min(ys) + max(ys)) / 2.0
    # path data that say nothing else are filled by winding (SVG 1.1, 11.3)
    filled = filled_by_winding([flattened_mm(contour, units_per_mm=1.0 / scale) for contour in contours])
    if not filled:
        raise _no_path(icon, index)
    loops = tuple(
        tuple((icon.x_mm + (x - middle_x) * scale, icon.y_mm - (y - middle_y) * scale, 0.0) for x, y in loop)
        for loop in filled
    )
    return Outline(
        operation=Operation.PRINT,
        part=f"icons.{index}",
        colour=icon.colour or face.ink_colour,
        filled=True,
        loops=loops,
    )


def _path_contours(icon: Icon, index: int) -> list[tuple[tuple[tuple[float, float], ...], ...]]:
    from fontTools.pens.recordingPen import RecordingPen
    from fontTools.svgLib.path import parse_path

    pen = RecordingPen()
    try:
        parse_path(icon.path, pen)
        contours = contours_of(pen.value)
    except Exception as error:  # the parser has no errors of its own
        raise _no_path(icon, index) from error
    points = [point for contour in contours for curve in contour for point in curve]
    finite = all(math.isfinite(x) and math.isfinite(y) for x, y in points)
    if not points or not finite or all(point == points[0] for point in points):
        raise _no_path(icon, index)
    return contours


def _no_path(icon: Icon, index: int) -> DesignError:
    return DesignError(
        "the path cannot be understood as an outline",
        where=f"icons.{index}.path",
        found=icon.path,
        accepted="SVG path data, such as M0 0 L4 0 L2 3 Z",
    )
