"""The movement and supply stages: pictures that move, trains and figures taken over as one step each."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from gaugecore.face.scale import LinearScale
from gaugecore.movement.train import CrankLink, Direct, GearPair
from gaugecore.panel.document import Panel
from gaugecore.panel.edit import with_value
from gaugecore.panel.store import load_panel
from gaugecore.supply.meter import State
from needlewright.samples import sample_path
from needlewright.ui.desk import Stage
from needlewright.ui.response_work import SIGNALS, response
from needlewright.ui.train_view import shaft_deg


@pytest.fixture
def wide(panel: Panel) -> Panel:
    """A dial whose arc of 270° a servo of 180° does not reach."""
    scale = LinearScale(low_value=0, high_value=100, low_deg=-135, high_deg=135)
    return with_value(panel, ("instruments", panel.instruments[0].id, "face", "scale"), scale)


@pytest.fixture
def window(make_window: Any, wide: Panel) -> Any:
    made = make_window(wide)
    made.desk.open_stage(Stage.MOVEMENT)
    return made


def test_the_movement_turns_with_the_needle_through_each_train(wide: Panel) -> None:
    instrument = wide.instruments[0]
    geared = instrument.model_copy(update={"train": GearPair(ratio=1.5)})
    # a gear pair turns the needle against the movement: 135° up the scale is 90° the other way
    assert shaft_deg(geared, 100.0) == pytest.approx(-90.0)
    assert shaft_deg(geared, 50.0) == pytest.approx(0.0)
    assert shaft_deg(instrument.model_copy(update={"train": Direct()}), 100.0) is None
    link = CrankLink(ground_mm=40.0, crank_mm=10.0, link_mm=40.0, arm_mm=12.0)
    narrow = LinearScale(low_value=0, high_value=100, low_deg=-30, high_deg=30)
    face = instrument.face.model_copy(update={"scale": narrow})
    linked = instrument.model_copy(update={"train": link, "face": face})
    turns = [shaft_deg(linked, value) for value in (20.0, 50.0, 80.0)]
    assert all(turn is not None for turn in turns)
    assert len(set(turns)) == 3


def test_the_picture_follows_the_value_under_the_needle(window: Any) -> None:
    page = window.stages.currentWidget()
    window.document.edit(("instruments", window.desk.instrument.id, "train"), GearPair(ratio=1.5), "gear")
    window.desk.show_value(100.0)
    assert page.train.shaft_deg == pytest.approx(-90.0)
    before = page.train.grab().toImage()
    window.desk.show_value(75.0)
    assert page.train.shaft_deg == pytest.approx(-45.0)
    assert page.train.grab().toImage() != before


def test_a_proposed_train_is_taken_over_as_one_step(window: Any, qtbot: Any, wide: Panel) -> None:
    page = window.stages.currentWidget()
    page.tabs.setCurrentWidget(page.choices)
    qtbot.waitUntil(lambda: page.choices._list.count() > 0, timeout=20_000)
    page.choices._take.click()
    assert isinstance(window.desk.instrument.train, GearPair)
    assert window.document.steps.index() == 1
    window.document.steps.undo()
    assert window.document.panel == wide


@pytest.mark.parametrize("shape", SIGNALS)
def test_a_dial_answers_every_signal(shape: str) -> None:
    instrument = load_panel(sample_path("ferry-bridge")).instruments[0]
    made = response(instrument, shape, 20.0)
    assert made.replayed is not None
    assert np.isfinite(made.replayed.needle_deg).all()
    assert "Worst error" in made.words


@pytest.mark.slow
def test_a_recording_that_is_dropped_shows_its_response(
    make_window: Any, panel: Panel, qtbot: Any, tmp_path: Path
) -> None:
    instrument = panel.instruments[0]
    name = instrument.raw.field or instrument.id
    low, high = instrument.raw.low, instrument.raw.high
    rows = [f"{at / 10:.1f},{low + (high - low) * (at % 20) / 20:.0f}" for at in range(100)]
    path = tmp_path / "trace.csv"
    path.write_text("\n".join([f"time_s,{name}", *rows]), encoding="utf-8")
    window = make_window(panel)
    window.commands.take_file(path)
    page = window.stages.currentWidget()
    qtbot.waitUntil(lambda: bool(page.response._figures.text()), timeout=20_000)
    assert window.desk.stage is Stage.MOVEMENT
    assert page.response._trace.currentText() == "trace.csv"
    path.write_text("time_s,other\n0,1\n1,2\n", encoding="utf-8")
    page.response.changed.emit()
    qtbot.waitUntil(lambda: "no column" in page.response._figures.text(), timeout=20_000)
    assert window.document.steps.index() == 0


def test_a_meter_reading_is_typed_compared_taken_over_and_undone(make_window: Any, panel: Panel) -> None:
    window = make_window(panel)
    window.desk.open_stage(Stage.SUPPLY)
    page = window.stages.currentWidget()
    page.meter.type_in(State.ALL_OFF, "180,5")
    assert window.document.panel.supply.measured[0].current_ma == 180.5
    assert "more" in page.meter._table.item(0, 3).text()
    page.meter.type_in(State.ALL_OFF, "181 mA")
    assert [reading.current_ma for reading in window.document.panel.supply.measured] == [181.0]
    before = window.document.panel
    page.meter._take.click()
    assert window.document.panel != before
    assert "agrees" in page.meter._table.item(0, 3).text()
    window.document.steps.undo()
    assert window.document.panel == before
    window.document.steps.setIndex(0)
    assert window.document.panel == panel
    assert page.meter._table.item(0, 2).text() == ""


@pytest.mark.parametrize("text", ["much", "-5", "1e9", "nan"])
def test_a_meter_reading_that_cannot_be_is_one_sentence(make_window: Any, panel: Panel, text: str) -> None:
    window = make_window(panel)
    window.desk.open_stage(Stage.SUPPLY)
    window.stages.currentWidget().meter.type_in(State.LAMP_TEST, text)
    assert window.document.panel is panel
    assert "found" in window.strip.text
    assert window.stages.currentWidget().meter._table.item(2, 2).text() == ""


def test_a_movement_is_taken_over_as_one_step_and_kept_among_the_users_own(window: Any) -> None:
    page = window.stages.currentWidget()
    page.tabs.setCurrentWidget(page.movements)
    listed = [page.movements._list.item(row).text() for row in range(page.movements._list.count())]
    row = next(row for row, text in enumerate(listed) if text.startswith("standard servo"))
    page.movements._list.setCurrentRow(row)
    page.movements._take.click()
    assert window.desk.instrument.movement.name == "standard servo"
    page.movements._remember.click()
    assert page.movements._list.item(0).text().startswith("standard servo")
    window.document.steps.undo()
    assert window.desk.instrument.movement.name == "9 g class analogue servo"
