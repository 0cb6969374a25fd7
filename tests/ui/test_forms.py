"""Forms come from the engine's models: every field of every model can be shown, set, cleared and edited."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import BaseModel
from PySide6.QtCore import QLocale, Qt
from PySide6.QtWidgets import QApplication

from gaugecore.face.face import Face, Graduations
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.train import CrankLink, Direct, GearPair
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.edit import value_at
from gaugecore.supply.source import Supply
from needlewright.ui.document import PanelDocument
from needlewright.ui.fields import Field, Kind, fields_of
from needlewright.ui.form import PartForm
from needlewright.ui.inspector import Inspector, Part
from needlewright.ui.starting_values import changed_kind, first_value, new_part

_FACE = ("instruments", "dial-1", "face")


def _field(model: type, name: str) -> Field:
    return next(field for field in fields_of(model) if field.name == name)


def test_unit_range_and_words_are_read_off_the_model() -> None:
    diameter = _field(Face, "diameter_mm")
    assert (diameter.label, diameter.unit, diameter.range_text) == (
        "Diameter",
        "mm",
        "more than 0 to 1000 mm",
    )
    assert _field(Servo, "dead_band_us").range_text == "0 to 100 µs"
    assert "bezel covers" in _field(Face, "bezel_mm").explanation
    assert _field(Graduations, "minor_step").optional
    assert _field(Face, "legends").kind is Kind.PARTS
    assert _field(Stepper, "torque_curve").kind is Kind.PAIRS


def _models_below(model: type[BaseModel], found: set[type[BaseModel]]) -> set[type[BaseModel]]:
    if model not in found:
        found.add(model)
        for field in fields_of(model):
            if field.kind in (Kind.PART, Kind.ONE_OF, Kind.PARTS):
                for below in field.types:
                    _models_below(below, found)
    return found


def test_no_field_of_any_part_of_a_panel_is_forgotten() -> None:
    """A field that the engine gains must show up, or this says which does not."""
    models = _models_below(Panel, set())
    assert {Instrument, Face, Servo, Stepper, GearPair, CrankLink, Direct, Supply} <= models
    kept_out = {"kind", "format", "version", "calibration"}
    for model in models:
        shown = {field.name for field in fields_of(model)}
        assert set(model.model_fields) - shown <= kept_out, model.__name__


def test_every_number_with_a_unit_in_its_name_shows_it() -> None:
    for model in _models_below(Panel, set()):
        for field in fields_of(model):
            ending = field.name.rpartition("_")[2]
            if field.kind is Kind.NUMBER and ending in {
                "mm",
                "deg",
                "us",
                "ma",
                "v",
                "s",
                "mm2",
                "m",
                "g",
                "ohm",
            }:
                assert field.unit, f"{model.__name__}.{field.name}"


def _parts_below(owner: Any) -> list[Any]:
    found = [owner]
    for field in fields_of(type(owner)):
        value = getattr(owner, field.name)
        if field.kind in (Kind.PART, Kind.ONE_OF) and value is not None:
            found += _parts_below(value)
    return found


def test_whatever_may_be_missing_or_repeated_has_a_valid_start(panel: Panel) -> None:
    for owner in (*_parts_below(panel), *_parts_below(panel.instruments[0])):
        for field in fields_of(type(owner)):
            if field.optional:
                started = owner.model_copy(update={field.name: first_value(field, owner)})
                type(owner).model_validate(dict(started))
            if field.kind is Kind.PARTS and field.name != "instruments":  # these have commands of their own
                assert isinstance(new_part(field.types[0], owner), field.types[0])


def test_each_kind_of_a_part_can_become_each_other(panel: Panel) -> None:
    for owner in (panel.instruments[0], panel.instruments[0].face):
        for field in fields_of(type(owner)):
            if field.kind is not Kind.ONE_OF:
                continue
            for model in field.types:
                made = changed_kind(model, getattr(owner, field.name), owner)
                for back in field.types:
                    assert isinstance(changed_kind(back, made, owner), back)


@pytest.fixture
def form(qapp: QApplication, panel: Panel, qtbot: Any) -> PartForm:
    document = PanelDocument(panel)
    made = PartForm(document, _FACE, title="Face", opened=True)
    document.changed.connect(lambda _: made.refresh())
    made.document = document  # type: ignore[attr-defined]
    qtbot.addWidget(made)
    made.show()
    return made


def _type(qtbot: Any, form: PartForm, name: str, text: str, *, enter: bool = True) -> Any:
    row = form._rows[name]
    row.editor.selectAll()
    qtbot.keyClicks(row.editor, text)
    if enter:
        qtbot.keyClick(row.editor, Qt.Key.Key_Return)
    return row


def test_a_typed_number_becomes_a_named_step(form: PartForm, qtbot: Any) -> None:
    _type(qtbot, form, "diameter_mm", "72.5")
    document = form.document  # type: ignore[attr-defined]
    assert value_at(document.panel, _FACE).diameter_mm == 72.5
    assert document.steps.undoText() == "dial-1: diameter to 72.5 mm"
    document.steps.undo()
    assert form._rows["diameter_mm"].editor.value() == 60.0


@pytest.mark.parametrize("text", ["72,5", "72.5", "72,5 mm", "7.25e1"])
def test_comma_and_point_both_part_the_decimals(form: PartForm, qtbot: Any, text: str) -> None:
    _type(qtbot, form, "diameter_mm", text)
    assert value_at(form.document.panel, _FACE).diameter_mm == 72.5  # type: ignore[attr-defined]


def test_a_place_that_writes_commas_shows_them(qapp: QApplication, panel: Panel, qtbot: Any) -> None:
    before = QLocale()
    QLocale.setDefault(QLocale(QLocale.Language.German))
    try:
        form = PartForm(PanelDocument(panel), _FACE, title="Face", opened=True)
        qtbot.addWidget(form)
        form._rows["diameter_mm"].editor.show_value(72.5)
        assert form._rows["diameter_mm"].editor.text() == "72,5 mm"
    finally:
        QLocale.setDefault(before)


def test_what_is_out_of_range_is_said_while_typing_and_not_taken(form: PartForm, qtbot: Any) -> None:
    row = _type(qtbot, form, "diameter_mm", "2000", enter=False)
    assert row._complaint.text() == "Accepted: more than 0 to 1000 mm."
    qtbot.keyClick(row.editor, Qt.Key.Key_Return)
    assert value_at(form.document.panel, _FACE).diameter_mm == 60.0  # type: ignore[attr-defined]
    assert row._complaint.text() == ""
    assert row.editor.value() == 60.0


def test_escape_takes_back_what_was_typed(form: PartForm, qtbot: Any) -> None:
    row = _type(qtbot, form, "diameter_mm", "99", enter=False)
    qtbot.keyClick(row.editor, Qt.Key.Key_Escape)
    assert row.editor.text() == "60 mm"
    assert form.document.steps.count() == 0  # type: ignore[attr-defined]


def test_arrow_keys_held_down_are_one_step(form: PartForm, qtbot: Any) -> None:
    row = form._rows["diameter_mm"]
    for _ in range(5):
        qtbot.keyClick(row.editor, Qt.Key.Key_Up)
    document = form.document  # type: ignore[attr-defined]
    assert value_at(document.panel, _FACE).diameter_mm > 60.0
    assert document.steps.count() == 1


def test_parts_are_added_and_removed_as_steps(form: PartForm, qtbot: Any) -> None:
    document = form.document  # type: ignore[attr-defined]
    sectors = form._below["sectors"]
    sectors.set_open(True)
    qtbot.mouseClick(sectors._add, Qt.MouseButton.LeftButton)
    assert len(value_at(document.panel, _FACE).sectors) == 1
    assert document.steps.undoText() == "add sector"
    document.steps.undo()
    assert value_at(document.panel, _FACE).sectors == ()


def test_a_value_refused_by_its_neighbours_is_explained_at_its_row(form: PartForm, qtbot: Any) -> None:
    scale = form._below["scale"]
    scale.set_open(True)
    row = _type(qtbot, scale._form, "low_value", "200")
    assert "values must rise along a scale" in row._complaint.text()
    assert form.document.steps.count() == 0  # type: ignore[attr-defined]


def test_an_edit_elsewhere_takes_back_what_was_typed_or_refused(form: PartForm, qtbot: Any) -> None:
    scale = form._below["scale"]
    scale.set_open(True)
    refused = _type(qtbot, scale._form, "low_value", "200")
    typed = _type(qtbot, form, "bezel_mm", "2", enter=False)
    coloured = form._rows["ink_colour"].editor._text
    coloured.selectAll()
    qtbot.keyClicks(coloured, "#aa")
    document = form.document  # type: ignore[attr-defined]
    document.edit((*_FACE, "diameter_mm"), 61.0, "edit")
    assert (refused.editor.text(), refused._complaint.text()) == ("0", "")
    assert typed.editor.text() == "0 mm"
    assert coloured.text() == value_at(document.panel, _FACE).ink_colour


def test_the_inspector_opens_down_to_a_place(qapp: QApplication, panel: Panel, qtbot: Any) -> None:
    document = PanelDocument(panel)
    inspector = Inspector(document, lambda: (Part("Face", _FACE),))
    qtbot.addWidget(inspector)
    inspector.show()
    inspector.reveal((*_FACE, "legends", 0, "text"))
    legends = inspector._forms[0]._below["legends"]
    assert legends.is_open
    assert legends._forms[0].is_open
    assert legends._forms[0]._rows["text"].editor.hasFocus() or not inspector.isActiveWindow()
    assert not legends._forms[0]._rows["text"].isHidden()
