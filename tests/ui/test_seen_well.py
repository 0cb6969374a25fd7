"""What can be seen in the window: findings in full and close by, lines nobody covers, columns that stay."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QSizePolicy

from gaugecore.findings import Finding, Severity
from gaugecore.panel.document import Panel
from gaugecore.panel.starter import starter_panel
from gaugecore.supply.meter import State
from needlewright.ui.desk import Stage
from needlewright.ui.findings_list import FindingsList
from needlewright.ui.form_row import FieldRow
from needlewright.ui.instrument_list import InstrumentList
from needlewright.ui.look import DARK, LIGHT, palette
from needlewright.ui.overlays import RING_DARK, RING_LIGHT, RULER_PX, protractor_lines, protractor_numbers
from needlewright.ui.picture import Pictures
from needlewright.ui.plots import new_plot
from needlewright.ui.screen_ruler import CARD_MM, ScreenRuler
from needlewright.ui.true_size import keep_measured, px_per_mm
from needlewright.ui.value_bar import ValueBar
from tests.ui.test_look import _contrast as contrast

#: Of what is cut short on purpose.
_IGNORED = QSizePolicy.Policy.Ignored


def _finding(place: str, **more: Any) -> Finding:
    return Finding(rule="r", severity=Severity.NOTE, place=place, message="Something is the matter.", **more)


def test_a_finding_comes_so_close_that_its_place_is_well_seen_and_fit_goes_back(make_window: Any) -> None:
    window = make_window(starter_panel("Desk"))
    canvas = window.dial.canvas
    before = canvas.px_per_mm
    window.go_to(_finding("instruments.dial-1.face.numerals", at_mm=(10.0, 14.0)))
    assert canvas.px_per_mm > 2.5 * before
    at_px = canvas._view.transform(canvas._size()).map(QPointF(10.0, 14.0))
    assert (at_px - QPointF(canvas.width() / 2, canvas.height() / 2)).manhattanLength() < 1.0
    canvas.fit()
    assert canvas.px_per_mm == before


@pytest.mark.parametrize("grey", range(0, 256, 5))
def test_one_tone_of_the_ring_stands_out_from_any_ground(grey: int) -> None:
    ground = QColor(grey, grey, grey).name()
    assert max(contrast(ground, tone) for tone in (RING_LIGHT, RING_DARK)) >= 3.0


def test_a_finding_without_a_spot_marks_its_field_even_of_the_whole_panel(make_window: Any) -> None:
    window = make_window(starter_panel("Desk"))
    for place, stage, label in (
        ("supply.volts", Stage.SUPPLY, "Voltage"),
        ("instruments.dial-1.pointer.gap_mm", Stage.MOVEMENT, "Gap"),
        ("instruments.dial-1.raw.high_value", Stage.TABLE, "Value, high"),
    ):
        window.go_to(_finding(place))
        assert window.desk.stage is stage
        marked = [row for row in window.stages.currentWidget().findChildren(FieldRow) if row.is_marked]
        assert [row.field.label for row in marked] == [label]
        assert marked[0].isVisible()


def test_walking_the_findings_with_the_arrow_keys_stays_in_the_list(make_window: Any, qtbot: Any) -> None:
    window = make_window(starter_panel("Desk"))
    window.findings.show_findings([_finding("instruments.dial-1.face.diameter_mm"), _finding("supply.volts")])
    window.activateWindow()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is window, timeout=30_000)
    window.findings._list.setFocus()
    qtbot.keyClick(window.findings._list, Qt.Key.Key_Down)
    qtbot.keyClick(window.findings._list, Qt.Key.Key_Down)
    assert window.findings._list.hasFocus()
    assert window.findings._list.currentRow() == 1
    assert window.document.steps.count() == 0


@pytest.mark.parametrize("width_px", [180, 230, 280, 340])
def test_every_word_of_a_finding_has_room(qtbot: Any, width_px: int) -> None:
    findings = FindingsList()
    qtbot.addWidget(findings)
    long = "The state one-stalled draws more than the source may give, when a needle is held fast."
    made = [
        Finding(rule="r", severity=Severity.CAUTION, place=f"p{n}", message=long + " And on." * n)
        for n in range(14)
    ]
    findings.resize(width_px, 300)
    findings.show()
    findings.show_findings(made)
    QApplication.processEvents()
    rows = findings._list
    for at in range(rows.count()):
        place = rows.visualItemRect(rows.item(at))
        needed = rows.fontMetrics().boundingRect(
            QRect(0, 0, place.width() - 28, 10_000), Qt.TextFlag.TextWordWrap, rows.item(at).text()
        )
        assert place.height() >= needed.height() + 10


@pytest.mark.parametrize("closer", [0.5, 1.0, 4.0])
def test_nothing_of_the_protractor_runs_into_ruler_or_caption(make_window: Any, closer: float) -> None:
    panel = starter_panel("Desk")
    canvas = make_window(panel).dial.canvas
    canvas.fit()
    canvas.zoom(closer)
    face = Pictures().of(panel.instruments[0]).face
    assert face is not None
    look, size, radius_mm = canvas._view, canvas._size(), panel.instruments[0].face.diameter_mm / 2
    letters = [
        look.transform(size).map(QPointF(*point))
        for element in face.elements
        if element.part == "caption"
        for line in element.polylines  # type: ignore[union-attr]
        for point in line
    ]
    assert letters
    top_px = min(point.y() for point in letters)
    foot_px = look.transform(size).map(QPointF(0.0, -radius_mm)).y()
    lines = protractor_lines(look, size, radius_mm)
    assert max(line.y1() for line in lines) == pytest.approx(foot_px)  # they begin on the rim
    assert max(line.y2() for line in lines) < top_px
    for deg, place in protractor_numbers(look, size, radius_mm):
        assert not [point for point in letters if place.contains(point)], deg
        assert not [line for line in lines if place.contains(line.p1()) or place.contains(line.p2())], deg
        if closer <= 1.0:
            assert QRectF(canvas.rect()).adjusted(RULER_PX, RULER_PX, 0, 0).contains(place), deg


def test_a_card_held_to_the_line_measures_the_screen(qtbot: Any) -> None:
    screen = QGuiApplication.primaryScreen()
    keep_measured(screen, 4.0)
    ruler = ScreenRuler(screen)
    qtbot.addWidget(ruler)
    ruler.show()
    assert ruler.length.value() == CARD_MM
    assert ruler.line.length_px == round(CARD_MM * 4.0)
    end = ruler.line.end_px
    qtbot.mousePress(ruler.line, Qt.MouseButton.LeftButton, pos=end)
    end.setX(end.x() + 60)
    qtbot.mouseMove(ruler.line, end)
    qtbot.mouseRelease(ruler.line, Qt.MouseButton.LeftButton, pos=end)
    assert ruler.line.length_px == round(CARD_MM * 4.0) + 60
    qtbot.keyClick(ruler.line, Qt.Key.Key_Left)
    qtbot.keyClick(ruler.line, Qt.Key.Key_PageUp)
    length_px = round(CARD_MM * 4.0) + 60 - 1 + 10
    assert ruler.line.length_px == length_px
    ruler.accept()
    assert px_per_mm(screen) == pytest.approx(length_px / CARD_MM)


@pytest.mark.parametrize("typed", ["-5", "−5", "1000000", "nan", "much"])
def test_a_current_that_is_none_is_refused_in_words_of_the_window(make_window: Any, typed: str) -> None:
    window = make_window(starter_panel("Desk"))
    window.desk.open_stage(Stage.SUPPLY)
    before = window.document.panel
    window.stages.currentWidget().meter.type_in(State.ALL_OFF, typed)
    assert window.strip.text == f"A meter reading: found {typed}; accepted: a current of 0 to 100000 mA."
    assert window.document.panel == before


def test_a_large_current_is_shown_as_it_was_typed(make_window: Any) -> None:
    window = make_window(starter_panel("Desk"))
    window.desk.open_stage(Stage.SUPPLY)
    meter = window.stages.currentWidget().meter
    meter.type_in(State.ALL_OFF, "99999")
    assert meter._table.item(0, 2).text() == "99999"
    assert "e+" not in window.document.steps.undoText()


def test_numerals_of_the_first_dial_stand_apart() -> None:
    face = Pictures().of(starter_panel("Desk").instruments[0]).face
    assert face is not None
    ends = {
        element.part: [x for line in element.polylines for x, _ in line]  # type: ignore[union-attr]
        for element in face.elements
        if element.part in ("numerals.40", "numerals.60")
    }
    # half a numeral's height between two of them reads as a space
    assert min(ends["numerals.60"]) - max(ends["numerals.40"]) > 4.2 / 2


@pytest.mark.parametrize("colours", [LIGHT, DARK])
def test_a_button_that_cannot_be_pressed_can_still_be_read(colours: Any, qapp: QApplication) -> None:
    made = palette(colours)
    ground = made.color(QPalette.ColorRole.Window).name()
    words = made.color(QPalette.ColorGroup.Disabled, QPalette.ColorRole.Shadow).name()
    assert contrast(ground, words) >= 3.0
    from needlewright.ui.look import _SHEET

    assert "QToolButton#lineAction:disabled { color: palette(shadow); }" in _SHEET


def test_an_empty_panel_says_on_every_stage_what_to_do_next(make_window: Any) -> None:
    window = make_window(Panel(title="Desk"))
    for stage in (Stage.FACE, Stage.MOVEMENT, Stage.TABLE):
        window.desk.open_stage(stage)
        page = window.stages.currentWidget()
        said = [label.text() for label in page.findChildren(QLabel) if label.isVisible()]
        assert any("Add one with New" in text for text in said), stage


def test_the_right_column_keeps_its_width_from_page_to_page(make_window: Any) -> None:
    window = make_window(starter_panel("Desk"))
    widths = []
    for stage in Stage:
        window.desk.open_stage(stage)
        QApplication.processEvents()
        widths.append(window.stages.width())
    assert len(set(widths)) == 1, widths


def test_a_long_title_does_not_make_the_list_scroll_sideways(make_window: Any) -> None:
    panel = starter_panel("Desk")
    long = panel.instruments[0].model_copy(update={"title": "Starboard fuel transfer tank contents " * 2})
    window = make_window(panel.model_copy(update={"instruments": (long,)}))
    rows = window.findChild(InstrumentList)._list
    assert not rows.horizontalScrollBar().isVisible()
    assert long.title in rows.item(0).toolTip()


def test_numbers_have_the_minus_sign_of_print_and_degrees_stand_close(make_window: Any) -> None:
    panel = starter_panel("Desk")
    dial = panel.instruments[0].model_copy(update={"unit": "°"})
    window = make_window(panel.model_copy(update={"instruments": (dial,)}))
    bar = window.findChild(ValueBar)
    assert bar._angle.text() == "−75.0°"
    assert bar._number.text().endswith("0°")
    bar._number.setRange(-10.0, 10.0)
    assert bar._number.valueFromText("−5") == bar._number.valueFromText("-5") == -5.0


def test_the_axes_of_a_plot_have_it_too(qtbot: Any) -> None:
    plot = new_plot("Error", left="Table less fit", bottom="Raw value")
    qtbot.addWidget(plot)
    assert plot.getAxis("left").tickStrings([-100.0, 0.0, 50.0], 1.0, 50.0) == ["−100", "0", "50"]


def test_larger_letters_get_the_room_they_need(make_window: Any, qapp: QApplication, qtbot: Any) -> None:
    usual, larger = qapp.font(), qapp.font()
    larger.setPointSizeF(1.25 * usual.pointSizeF())
    qapp.setFont(larger)
    try:
        window = make_window(starter_panel("Desk"))
        window.resize(1280, 720)
        cut = []
        for stage in Stage:
            window.desk.open_stage(stage)
            qtbot.wait(20)
            words = [*window.findChildren(QLabel), *window.findChildren(QAbstractButton)]
            cut += [
                one.text()
                for one in words
                if one.isVisible() and one.text() and one.sizePolicy().horizontalPolicy() is not _IGNORED
                if one.minimumSizeHint().width() > one.width() + 1
            ]
        assert cut == []
    finally:
        qapp.setFont(usual)
