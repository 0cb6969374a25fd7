"""The canvas: what is clicked is selected, what is dragged follows, and one drag is one step."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QPalette
from PySide6.QtTest import QTest

from gaugecore.drawing.elements import Operation
from gaugecore.face.face import Aperture, DetentMark, IndexTriangle, Legend, LimitLine, LubberLine, Sector
from gaugecore.face.layout import lay_out_face
from gaugecore.face.light import Glow, LightLayer
from gaugecore.face.presets import preset_names
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.edit import with_value
from gaugecore.polar import Point, dial_to_xy_mm
from needlewright.ui.canvas import DialCanvas, Overlay
from needlewright.ui.desk import Stage
from needlewright.ui.dragging import grip_on
from needlewright.ui.finish import Finish, colour_in
from needlewright.ui.finish_compare import FinishCompare
from needlewright.ui.instrument_edits import fresh
from needlewright.ui.night import DARK_COLOUR, FACE_COLOUR, GLOW_COLOUR, colour_at_night
from needlewright.ui.view import View

_FACE = ("instruments", "dial-1", "face")


@pytest.fixture
def furnished(panel: Panel) -> Panel:
    sector = Sector(low_value=80, high_value=100, inner_radius_mm=25, outer_radius_mm=28, colour="#c8321e")
    panel = with_value(panel, (*_FACE, "sectors"), (sector,))
    return with_value(panel, (*_FACE, "detent_marks"), (DetentMark(value=50),))


@pytest.fixture
def window(make_window: Any, furnished: Panel) -> Any:
    return make_window(furnished)


def _at(canvas: DialCanvas, point_mm: Point) -> QPoint:
    return canvas._view.transform(QSizeF(canvas.size())).map(QPointF(*point_mm)).toPoint()


def _click(canvas: DialCanvas, point_mm: Point) -> None:
    QTest.mouseClick(canvas, Qt.MouseButton.LeftButton, pos=_at(canvas, point_mm))


def _drag(canvas: DialCanvas, from_mm: Point, to_mm: Point) -> None:
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=_at(canvas, from_mm))
    for share in (0.3, 0.6, 1.0):
        between = (
            from_mm[0] + share * (to_mm[0] - from_mm[0]),
            from_mm[1] + share * (to_mm[1] - from_mm[1]),
        )
        QTest.mouseMove(canvas, _at(canvas, between))
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=_at(canvas, to_mm))


@pytest.mark.parametrize(
    ("point_mm", "part"),
    [
        (dial_to_xy_mm(-135.0, 25.0), "face.graduations.major"),
        (dial_to_xy_mm(-27.0, 18.0), "face.numerals"),
        ((0.0, -13.0), "face.legends.0"),
        (dial_to_xy_mm(110.0, 27.9), "face.sectors.0"),
        (dial_to_xy_mm(90.0, 20.3), "face.fixing_holes"),
        (dial_to_xy_mm(180.0, 30.0), "face.diameter_mm"),
        (dial_to_xy_mm(160.0, 10.0), "face.ground_colour"),
    ],
)
def test_a_click_selects_the_field_that_makes_the_thing(window: Any, point_mm: Point, part: str) -> None:
    _click(window.dial.canvas, point_mm)
    assert window.desk.part == part
    assert window.dial.canvas._chosen


def test_one_of_several_is_selected_alone(window: Any) -> None:
    legend = window.desk.instrument.face.legends[0]
    both = (legend, legend.model_copy(update={"text": "other", "y_mm": 12.0}))
    window.document.edit((*_FACE, "legends"), both, "add legend")
    _click(window.dial.canvas, (legend.x_mm, legend.y_mm - 1.0))
    assert {element.part for element in window.dial.canvas._chosen} == {"legends.0"}


def test_a_click_beside_the_disc_lets_go(window: Any) -> None:
    _click(window.dial.canvas, (0.0, -13.0))
    _click(window.dial.canvas, (34.0, 34.0))
    assert window.desk.part == ""


def test_a_drag_is_one_step_and_is_undone_as_one(window: Any) -> None:
    canvas, document = window.dial.canvas, window.document
    before = document.panel
    _click(canvas, (0.0, -13.0))
    _drag(canvas, (0.0, -13.0), (4.0, -16.0))
    legend = document.panel.instruments[0].face.legends[0]
    # half a millimetre is the snap, and the mouse stands on whole pixels
    assert (legend.x_mm, legend.y_mm) == (pytest.approx(4.0, abs=0.5), pytest.approx(-16.0, abs=0.5))
    assert legend.x_mm * 2 == int(legend.x_mm * 2)
    assert document.steps.count() == 1
    document.steps.undo()
    assert document.panel is before


def test_a_drag_of_what_is_not_selected_shifts_the_view_and_edits_nothing(window: Any) -> None:
    canvas = window.dial.canvas
    centre = canvas._view.centre_mm
    _drag(canvas, (0.0, -13.0), (4.0, -16.0))
    assert window.document.steps.count() == 0
    assert canvas._view.centre_mm != centre


def test_the_edge_of_the_disc_is_dragged_to_where_the_mouse_is(window: Any) -> None:
    canvas, document = window.dial.canvas, window.document
    _click(canvas, (0.0, -30.0))
    before = canvas.px_per_mm
    places = [_at(canvas, (0.0, -30.0 - share * 10.0)) for share in (0.2, 0.4, 0.6, 0.8, 1.0)]
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=_at(canvas, (0.0, -30.0)))
    for place in places:
        QTest.mouseMove(canvas, place)
    assert document.panel.instruments[0].face.diameter_mm == pytest.approx(80.0, abs=0.5)
    assert canvas.px_per_mm == before  # under the hand nothing slips away
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=places[-1])
    assert canvas.px_per_mm < before  # and then the larger disc is shown as a whole


def test_what_is_dragged_is_seen_without_a_halo_until_it_is_let_go(window: Any) -> None:
    canvas = window.dial.canvas
    legend = window.document.panel.instruments[0].face.legends[0]
    place, beside = _at(canvas, (0.0, -13.0)), _at(canvas, (legend.x_mm, legend.y_mm - 3.0))

    def rings() -> int:
        image = canvas.grab().toImage()
        accent = canvas.palette().color(QPalette.ColorRole.Highlight)
        return sum(
            image.pixelColor(x, y).green() - image.pixelColor(x, y).red()
            > (accent.green() - accent.red()) / 4
            for x in range(beside.x() - 60, beside.x() + 60)
            for y in range(beside.y() - 40, beside.y() + 40)
        )

    none = rings()
    QTest.mouseClick(canvas, Qt.MouseButton.LeftButton, pos=place)
    assert rings() > none + 50
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=place)
    QTest.mouseMove(canvas, _at(canvas, (1.0, -15.0)))
    assert rings() == none
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=_at(canvas, (1.0, -15.0)))
    assert rings() > none + 50


@pytest.mark.parametrize("end", ["let go", "taken back"])
def test_the_document_is_in_hand_as_long_as_something_is_dragged(window: Any, end: str) -> None:
    canvas, document = window.dial.canvas, window.document
    _click(canvas, (0.0, -13.0))
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=_at(canvas, (0.0, -13.0)))
    assert not document.in_hand
    QTest.mouseMove(canvas, _at(canvas, (6.0, -16.0)))
    assert document.in_hand
    if end == "let go":
        QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=_at(canvas, (6.0, -16.0)))
    else:
        QTest.keyClick(canvas, Qt.Key.Key_Escape)
    assert not document.in_hand


def test_escape_in_the_middle_of_a_drag_takes_it_back(window: Any) -> None:
    canvas, before = window.dial.canvas, window.document.panel
    _click(canvas, (0.0, -13.0))
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=_at(canvas, (0.0, -13.0)))
    QTest.mouseMove(canvas, _at(canvas, (6.0, -16.0)))
    assert window.document.panel is not before
    QTest.keyClick(canvas, Qt.Key.Key_Escape)
    assert window.document.panel is before


@pytest.mark.parametrize(
    ("part", "from_mm", "to_mm", "place", "value"),
    [
        ("outline", (30.0, 0.0), (35.0, 0.0), ("face", "diameter_mm"), 70.0),
        ("numerals.20", (0.0, 18.0), (0.0, 16.0), ("face", "numerals", "radius_mm"), 16.0),
        ("graduations.major.50", (0.0, 25.0), (0.0, 24.0), ("face", "graduations", "outer_radius_mm"), 26.5),
        (
            "detent_marks.0",
            (0.0, 22.0),
            dial_to_xy_mm(27.2, 22.0),
            ("face", "detent_marks", 0, "value"),
            60.0,
        ),
        (
            "sectors.0",
            dial_to_xy_mm(81.0, 26.0),
            dial_to_xy_mm(54.1, 26.0),
            ("face", "sectors", 0, "low_value"),
            70.0,
        ),
        (
            "graduations.major.100",
            dial_to_xy_mm(135.0, 25.0),
            dial_to_xy_mm(121.0, 25.0),
            ("face", "scale", "high_deg"),
            120.0,
        ),
        (
            "graduations.major.0",
            dial_to_xy_mm(-135.0, 25.0),
            dial_to_xy_mm(-151.0, 25.0),
            ("face", "scale", "low_deg"),
            -150.0,
        ),
    ],
)
def test_what_is_dragged_follows_in_steps_that_people_would_type(
    furnished: Panel, part: str, from_mm: Point, to_mm: Point, place: tuple[Any, ...], value: float
) -> None:
    grip = grip_on(furnished.instruments[0], part, from_mm)
    assert grip is not None
    edit = grip(to_mm, False)
    assert edit is not None
    assert (edit.place, edit.value) == (place, pytest.approx(value))


def _with(panel: Panel, **fields: Any) -> Instrument:
    dial = panel.instruments[0]
    return dial.model_copy(update={"face": dial.face.model_copy(update=fields)})


@pytest.mark.parametrize(
    ("thing", "from_deg", "to_deg", "moved"),
    [
        ({"apertures": (Aperture(x_mm=10.0),)}, 90.0, 180.0, {"x_mm": 0.0, "y_mm": -10.0}),
        ({"index_triangles": (IndexTriangle(radius_mm=10.0),)}, 350.0, 12.0, {"dial_deg": 20.0}),
        ({"lubber_line": LubberLine(dial_deg=350.0)}, 350.0, 1.0, {"dial_deg": 360.0}),
        (
            {"limit_lines": (LimitLine(value=50, inner_radius_mm=9.0, outer_radius_mm=11.0),)},
            0.0,
            81.0,
            {"value": 80.0},
        ),
        (
            {"legends": (Legend(text="arc", arc_radius_mm=10.0),)},
            0.0,
            44.0,
            {"turn_deg": 45.0, "arc_radius_mm": 10.0, "x_mm": 0.0},
        ),
    ],
)
def test_everything_that_has_a_place_on_the_dial_can_be_dragged(
    furnished: Panel, thing: dict[str, Any], from_deg: float, to_deg: float, moved: dict[str, float]
) -> None:
    dial = _with(furnished, **thing)
    name = next(iter(thing))
    grip = grip_on(dial, name if name == "lubber_line" else f"{name}.0", dial_to_xy_mm(from_deg, 10.0))
    assert grip is not None
    edit = grip(dial_to_xy_mm(to_deg, 10.0), False)
    assert edit is not None
    panel = with_value(
        Panel(title="x", instruments=(dial,)), ("instruments", dial.id, *edit.place), edit.value
    )
    there = getattr(panel.instruments[0].face, name)
    after = there if name == "lubber_line" else there[0]
    assert {field: getattr(after, field) for field in moved} == pytest.approx(moved)


def test_zooming_keeps_the_point_under_the_mouse() -> None:
    size, at_px = QSizeF(600, 500), QPointF(130, 410)
    view = View(centre_mm=(3.0, -2.0), px_per_mm=6.0)
    closer = view.zoomed(2.5, at_px, size)
    assert closer.on_sheet(at_px, size) == pytest.approx(view.on_sheet(at_px, size))
    assert closer.px_per_mm == pytest.approx(15.0)


def test_the_sheet_has_y_up_and_the_pivot_where_the_view_says() -> None:
    view = View(centre_mm=(0.0, 0.0), px_per_mm=10.0)
    assert view.on_sheet(QPointF(300, 150), QSizeF(600, 500)) == pytest.approx((0.0, 10.0))


def test_the_needle_points_where_the_value_says(window: Any) -> None:
    window.desk.show_value(100.0)
    assert window.dial.canvas._needle_deg == 135.0
    window.desk.show_value(1e9)
    assert window.dial.canvas._needle_deg == 135.0


def test_layers_and_overlays_can_be_put_away_and_brought_back(window: Any) -> None:
    canvas = window.dial.canvas
    shown = canvas.grab().toImage()
    canvas.show_operation(Operation.PRINT, False)
    canvas.show_overlay(Overlay.RULERS, False)
    assert canvas.grab().toImage() != shown
    canvas.show_operation(Operation.PRINT, True)
    canvas.show_overlay(Overlay.RULERS, True)
    assert canvas.grab().toImage() == shown


def test_a_finding_leads_to_its_stage_its_field_and_its_place(window: Any, qtbot: Any) -> None:
    qtbot.waitUntil(lambda: bool(window.checking.findings), timeout=30_000)
    finding = next(f for f in window.checking.findings if f.place.endswith("pointer.gap_mm"))
    window.go_to(finding)
    assert window.desk.stage is Stage.MOVEMENT
    assert window.desk.part == "pointer.gap_mm"
    form = window.stages.currentWidget().form.inspector._forms[0]
    assert form._below["pointer"]._rows["gap_mm"].isVisible()


def test_what_is_selected_is_opened_in_the_form(window: Any) -> None:
    _click(window.dial.canvas, (0.0, -13.0))
    face = window.stages.currentWidget().inspector._forms[1]
    assert face._below["legends"].is_open
    assert face._below["legends"]._forms[0].is_open


@pytest.mark.slow
def test_by_night_only_what_the_light_layer_says_glows(furnished: Panel) -> None:
    instrument = furnished.instruments[0]
    face = lay_out_face(instrument.face, name="n", title="t")
    making = instrument.making.model_copy(update={"light": LightLayer(glow=(Glow.NUMERALS,))})
    lit = instrument.model_copy(update={"making": making})
    shades = {element.part.split(".")[0]: colour_at_night(element, lit) for element in face.elements}
    assert shades["numerals"] == GLOW_COLOUR
    assert shades["graduations"] == shades["legends"] == DARK_COLOUR
    assert colour_at_night(face.elements[0], lit) == FACE_COLOUR


def test_the_finishes_differ_and_paper_is_as_it_was(window: Any) -> None:
    canvas = window.dial.canvas
    paper = canvas.grab().toImage()
    seen = [paper]
    for finish in (Finish.ACRYLIC, Finish.NIGHT):
        window.dial.tools.take_finish(finish)
        seen.append(canvas.grab().toImage())
        assert all(seen[-1] != other for other in seen[:-1])
    window.dial.tools.take_finish(Finish.PAPER)
    assert canvas.grab().toImage() == paper


def test_the_finishes_are_seen_side_by_side_with_the_needle_and_one_is_picked(
    window: Any, qtbot: Any
) -> None:
    tools, compare = window.dial.tools, window.dial.compare
    tools.compare()
    assert compare.isVisible()
    assert not window.dial.canvas.isVisible()
    shown = compare.grab().toImage()
    places = compare.places()
    parts = [shown.copy(place.toRect()) for place in places.values()]
    assert all(one != other for at, one in enumerate(parts) for other in parts[:at])
    window.desk.show_value(60.0)
    assert compare.grab().toImage() != shown
    legend = ("instruments", "dial-1", "face", "legends", 0, "text")
    before = compare.grab().toImage()
    window.document.edit(legend, "TRIM", "text")
    assert compare.grab().toImage() != before
    qtbot.mouseClick(compare, Qt.MouseButton.LeftButton, pos=places[Finish.NIGHT].center().toPoint())
    assert window.dial.canvas.isVisible()
    assert tools._finish.accessibleName() == "Lit by night"
    tools.compare()
    qtbot.keyClick(compare, "1")
    assert tools._finish.accessibleName() == "As paper"


@pytest.mark.parametrize(("width", "height"), [(900, 300), (300, 900), (600, 600)])
def test_dials_side_by_side_share_the_room_and_do_not_overlap(qtbot: Any, width: int, height: int) -> None:
    compare = FinishCompare()
    qtbot.addWidget(compare)
    compare.resize(width, height)
    places = list(compare.places().values())
    assert len(places) == len(Finish)
    assert all(QRectF(0, 0, width, height).contains(place) for place in places)
    assert min(places[0].width(), places[0].height()) >= 280
    assert not any(one.intersects(other) for at, one in enumerate(places) for other in places[:at])


def test_a_two_layer_sheet_has_two_colours(furnished: Panel) -> None:
    instrument = furnished.instruments[0]
    face = lay_out_face(instrument.face, name="f", title="f")
    colours = {
        colour_in(Finish.ACRYLIC, element, instrument)
        for element in face.elements
        if element.operation not in (Operation.CUT, Operation.GUIDE)
    }
    assert colours <= {instrument.face.ground_colour, instrument.face.ink_colour}


def test_a_dial_of_many_turns_shows_its_slow_needle(make_window: Any, panel: Panel) -> None:
    window = make_window(fresh(panel, "multi-turn")[0])
    window.desk.take_instrument("dial-2")
    window.desk.show_value(5000.0)
    # five of ten turns: the fast needle is upright again, the slow one half way round
    assert window.dial.canvas._needle_deg % 360.0 == pytest.approx(0.0)
    assert window.dial.canvas._slow_deg == pytest.approx(180.0)
    window.desk.take_instrument("dial-1")
    assert window.dial.canvas._slow_deg is None


@pytest.mark.parametrize("name", preset_names())
def test_every_preset_makes_an_instrument_that_is_drawn(make_window: Any, panel: Panel, name: str) -> None:
    window = make_window(fresh(panel, name)[0])
    window.desk.take_instrument("dial-2")
    assert window.strip.text == ""
    assert window.dial.canvas._drawing is not None
