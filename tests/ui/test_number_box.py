"""Numbers outside the forms: point and comma, the minus of print, and what is not taken."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtWidgets import QDoubleSpinBox, QToolTip

from gaugecore.panel.document import Panel
from needlewright.ui.desk import Stage
from needlewright.ui.number_box import LoneNumber, NumberBox


@pytest.mark.parametrize("place", ["en_GB", "de_DE"])
@pytest.mark.parametrize(
    ("typed", "taken"),
    [("99,6", 99.6), ("99.6", 99.6), ("−4,5 mm", -4.5), ("-4.5", -4.5), ("500", 7.0), ("1.234,5", 7.0)],
)
def test_point_and_comma_are_the_decimal_sign_in_every_place(
    qtbot: Any, place: str, typed: str, taken: float
) -> None:
    box = LoneNumber("Length", low=-10.0, high=110.0, value=7.0, unit="mm")
    box.setLocale(QLocale(place))
    qtbot.addWidget(box)
    box.show()
    box.selectAll()
    box.lineEdit().insert(typed)  # as a key does; a simulated one knows no minus of print
    qtbot.keyClick(box, Qt.Key.Key_Return)
    assert box.value() == taken
    point = "," if place == "de_DE" else "."
    assert box.text() == f"{taken:g} mm".replace("-", "−").replace(".", point)


def test_what_is_out_of_range_is_said_while_it_is_typed(qtbot: Any) -> None:
    box = LoneNumber("Length", low=90.0, high=110.0, value=100.0, unit="mm")
    qtbot.addWidget(box)
    box.show()
    box.selectAll()
    qtbot.keyClicks(box, "12")
    assert QToolTip.text() == "Accepted: 90 to 110 mm."
    qtbot.keyClick(box, Qt.Key.Key_Return)
    assert box.text() == "100 mm"


def test_no_box_of_the_window_is_one_that_drops_a_comma(make_window: Any, panel: Panel) -> None:
    window = make_window(panel)
    for stage in Stage:
        window.desk.open_stage(stage)
    boxes = window.findChildren(QDoubleSpinBox)
    assert len(boxes) > 10
    assert [box for box in boxes if not isinstance(box, NumberBox)] == []
