"""What a new part or a newly set field starts from, fitted to what is around it.

A new thing should be visible, valid and near what the user will want, so that it can be seen, then
corrected.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pydantic import BaseModel
from pydantic_core import PydanticUndefined

from gaugecore.face.face import (
    DetentMark,
    Face,
    FixingHoles,
    Graduations,
    Legend,
    Numerals,
    Sector,
)
from gaugecore.face.scale import AnyScale, value_range
from gaugecore.face.scale_kinds import (
    ONE_TURN_DEG,
    CircularScale,
    LinearScale,
    LogarithmicScale,
    MultiTurnScale,
    PiecewiseScale,
    TableScale,
)
from gaugecore.panel.document import RawInput
from gaugecore.supply.source import Load
from needlewright.ui.fields import Field, Kind, fields_of


def first_value(field: Field, owner: BaseModel) -> Any:
    """Return what an optional field becomes when it is set.

    Parameters
    ----------
    field : Field
        The field, None until now.
    owner : BaseModel
        The part it belongs to.
    """
    made = _FIRST.get((type(owner), field.name))
    if made is not None:
        return made(owner)
    if field.kind in (Kind.PARTS, Kind.PAIRS):
        return ()
    if field.kind in (Kind.PART, Kind.ONE_OF):
        return new_part(field.types[0], owner)
    if field.kind is Kind.COLOUR:
        return "#000000"
    if field.kind in (Kind.NUMBER, Kind.WHOLE):
        return _number(field)
    if field.kind is Kind.CHOICE:
        return next(iter(field.types[0]))
    return False if field.kind is Kind.YES_NO else ""


def new_part(model: type[BaseModel], owner: BaseModel) -> BaseModel:
    """Return a new part to go into another: a legend for a face, a load for a supply."""
    made = _NEW.get(model)
    if made is not None and isinstance(owner, made[0]):
        return made[1](owner)
    return model(
        **{
            field.name: first_value(field, owner)
            for field in fields_of(model)
            if field.default is PydanticUndefined
        }
    )


def changed_kind(model: type[BaseModel], before: BaseModel, owner: BaseModel) -> BaseModel:
    """Return a part of another kind that says as much of the same as it can."""
    if isinstance(before, AnyScale):
        return _scale_as(model, before)
    return new_part(model, owner)


def _scale_as(model: type[BaseModel], before: AnyScale) -> BaseModel:
    """Return a scale of another kind between the same ends, as far as it can have them."""
    (low, low_deg), (high, high_deg) = before.points[0], before.points[-1]
    ends = {"low_value": float(low), "high_value": float(high)}
    if model in (PiecewiseScale, TableScale):
        middle = ((low + high) / 2, (low_deg + high_deg) / 2)
        made = before.points if isinstance(before, PiecewiseScale | TableScale) else ()
        return model.model_validate({"points": made or ((low, low_deg), middle, (high, high_deg))})
    if model in (CircularScale, MultiTurnScale):
        turned = {"value_per_turn": float(high - low)} if model is MultiTurnScale else {}
        rest = {"low_deg": float(low_deg), "clockwise": high_deg > low_deg}
        return model.model_validate({**ends, **turned, **rest})
    if model is LogarithmicScale and low <= 0:
        ends["low_value"] = high / 100.0 if high > 0 else 1.0
        ends["high_value"] = high if high > 0 else 100.0
    span_deg = max(-ONE_TURN_DEG, min(ONE_TURN_DEG, high_deg - low_deg))
    return model.model_validate({**ends, "low_deg": float(low_deg), "high_deg": float(low_deg + span_deg)})


def _number(field: Field) -> float | int:
    low = field.low if field.low is not None else 0.0
    high = field.high if field.high is not None else 1e9
    number = min(max(1.0, low), high)
    return int(number) if field.kind is Kind.WHOLE else number


def _sector(face: Any) -> Sector:
    low, high = value_range(face.scale)
    outer_mm = face.graduations.outer_radius_mm
    return Sector(
        low_value=low + 0.8 * (high - low),
        high_value=high,
        inner_radius_mm=max(outer_mm - 2.0, outer_mm / 2),
        outer_radius_mm=outer_mm,
        colour="#c8321e",
    )


def _detent(face: Any) -> DetentMark:
    low, high = value_range(face.scale)
    return DetentMark(value=(low + high) / 2)


def _numerals(face: Any) -> Numerals:
    ring = face.graduations
    height_mm = round(face.diameter_mm / 16, 1)
    radius_mm = ring.outer_radius_mm - ring.major.length_mm - 1.4 * height_mm
    return Numerals(radius_mm=max(round(radius_mm, 1), height_mm), height_mm=height_mm)


def _holes(face: Any) -> FixingHoles:
    return FixingHoles(
        count=2, pitch_circle_mm=round(face.diameter_mm * 2 / 3, 1), diameter_mm=2.2, first_deg=90.0
    )


_New = tuple[type[BaseModel], Callable[[Any], BaseModel]]

_NEW: dict[type[BaseModel], _New] = {
    Sector: (Face, _sector),
    DetentMark: (Face, _detent),
    Numerals: (Face, _numerals),
    FixingHoles: (Face, _holes),
    Legend: (Face, lambda face: Legend(text="legend", y_mm=round(face.diameter_mm / 6, 1))),
}
_NEW[LinearScale] = (
    BaseModel,
    lambda _: LinearScale(low_value=0.0, high_value=100.0, low_deg=-120.0, high_deg=120.0),
)
_NEW[RawInput] = (BaseModel, lambda _: RawInput(low_value=0.0, high_value=100.0))
_NEW[Load] = (BaseModel, lambda _: Load(name="load", current_ma=20.0))

_FIRST: dict[tuple[type[BaseModel], str], Callable[[Any], Any]] = {
    (Graduations, "intermediate_step"): lambda ring: ring.major_step / 2,
    (Graduations, "minor_step"): lambda ring: ring.major_step / 10,
    (Numerals, "stroke_mm"): lambda numerals: round(numerals.height_mm / 10, 2),
    (Numerals, "step"): lambda _: 10.0,
    (Legend, "stroke_mm"): lambda legend: round(legend.height_mm / 10, 2),
}
