"""What a field of a model needs from a form: its words, unit, range and kind, read off the model itself.

The engine's models are the only place where fields are described; a field added there shows up in the
window without a line of code here. Knows pydantic, not Qt.
"""

from __future__ import annotations

import types
import typing
from dataclasses import dataclass
from enum import Enum
from functools import cache
from typing import Annotated, Any, Literal, Union

import annotated_types
from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate, with_minus

#: The ends of names and the units they stand for, the longest first.
UNITS = {
    "_steps_per_s": "steps/s",
    "_per_60_deg": "s",
    "_deg_per_s2": "°/s²",
    "_deg_per_s": "°/s",
    "_percent": "%",
    "_kg_m3": "kg/m³",
    "_gmm2": "g·mm²",
    "_mnm": "mN·m",
    "_deg": "°",
    "_mm2": "mm²",
    "_ohm": "Ω",
    "_mm": "mm",
    "_us": "µs",
    "_ma": "mA",
    "_ms": "ms",
    "_hz": "Hz",
    "_s": "s",
    "_m": "m",
    "_v": "V",
    "_g": "g",
}
#: What is worked out from other things, or says what the thing is, and so is not edited field by field.
KEPT_OUT = {"kind", "format", "version", "calibration", "fit", "sessions", "readings"}
#: Ends as far out as this only keep nonsense out, and are not worth a word.
_WIDE = 36_000.0
#: Where the name without its unit does not read well.
_LABELS = {
    "seconds_per_60_deg": QT_TRANSLATE_NOOP("fields", "Time for 60°"),
    "idle_ma": QT_TRANSLATE_NOOP("fields", "Current at rest"),
    "moving_ma": QT_TRANSLATE_NOOP("fields", "Current, moving"),
    "stall_ma": QT_TRANSLATE_NOOP("fields", "Current, held"),
    "coil_ma": QT_TRANSLATE_NOOP("fields", "Current per coil"),
    "coil_ohm": QT_TRANSLATE_NOOP("fields", "Coil resistance"),
    "supply_v": QT_TRANSLATE_NOOP("fields", "Voltage"),
    "volts": QT_TRANSLATE_NOOP("fields", "Voltage"),
    "forward_v": QT_TRANSLATE_NOOP("fields", "Forward voltage"),
    "least_v": QT_TRANSLATE_NOOP("fields", "Least voltage"),
    "dial_deg": QT_TRANSLATE_NOOP("fields", "Dial angle"),
    "crank_deg": QT_TRANSLATE_NOOP("fields", "Crank angle"),
    "most_steps_per_s": QT_TRANSLATE_NOOP("fields", "Largest speed"),
    "most_deg_per_s": QT_TRANSLATE_NOOP("fields", "Largest speed"),
    "most_deg_per_s2": QT_TRANSLATE_NOOP("fields", "Largest acceleration"),
    "home_steps_per_s": QT_TRANSLATE_NOOP("fields", "Homing speed"),
    "awg": QT_TRANSLATE_NOOP("fields", "Wire gauge, AWG"),
    "leds": QT_TRANSLATE_NOOP("fields", "LEDs"),
    "pulse_min_us": QT_TRANSLATE_NOOP("fields", "Shortest pulse"),
    "pulse_max_us": QT_TRANSLATE_NOOP("fields", "Longest pulse"),
    "worst_moving_ma": QT_TRANSLATE_NOOP("fields", "Moving, at most"),
    "moving_worst_ma": QT_TRANSLATE_NOOP("fields", "Moving, at most"),
    "worst_ma": QT_TRANSLATE_NOOP("fields", "At most"),
    "led_strings": QT_TRANSLATE_NOOP("fields", "LED strings"),
    "second": QT_TRANSLATE_NOOP("fields", "Second scale"),
    "microsteps": QT_TRANSLATE_NOOP("fields", "Microsteps a step"),
    "current_ma": QT_TRANSLATE_NOOP("fields", "Current"),
    "torque_mnm": QT_TRANSLATE_NOOP("fields", "Torque"),
    "inertia_gmm2": QT_TRANSLATE_NOOP("fields", "Inertia"),
    "density_kg_m3": QT_TRANSLATE_NOOP("fields", "Density"),
    "x_mm": QT_TRANSLATE_NOOP("fields", "Across"),
    "y_mm": QT_TRANSLATE_NOOP("fields", "Up"),
    "low": QT_TRANSLATE_NOOP("fields", "Raw value, low"),
    "high": QT_TRANSLATE_NOOP("fields", "Raw value, high"),
    "low_value": QT_TRANSLATE_NOOP("fields", "Value, low"),
    "high_value": QT_TRANSLATE_NOOP("fields", "Value, high"),
    "low_deg": QT_TRANSLATE_NOOP("fields", "Dial angle, low"),
    "high_deg": QT_TRANSLATE_NOOP("fields", "Dial angle, high"),
    "first_deg": QT_TRANSLATE_NOOP("fields", "First hole at"),
    "field": QT_TRANSLATE_NOOP("fields", "Name in the feed"),
    "id": QT_TRANSLATE_NOOP("fields", "Short name"),
}


class Kind(Enum):
    """How a field is edited."""

    NUMBER = "number"
    WHOLE = "whole"
    YES_NO = "yes_no"
    CHOICE = "choice"
    TEXT = "text"
    LONG_TEXT = "long_text"
    COLOUR = "colour"
    PART = "part"  #: a model of its own
    ONE_OF = "one_of"  #: one of several models
    PARTS = "parts"  #: a list of models
    CHOICES = "choices"  #: any of an enum's members
    PAIRS = "pairs"  #: a list of tuples of numbers and text


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field as a form shows it.

    Attributes
    ----------
    name : str
        As in the model.
    label : str
        For people, without the unit.
    unit : str
        Empty for none.
    kind : Kind
        How it is edited.
    explanation : str
        The model's own words about it.
    low, high : float or None
        Range, with whether the ends belong to it in ``low_open`` and ``high_open``.
    types : tuple of type
        The enum of a choice, the models of a part, the columns' types of pairs.
    optional : bool
        Whether it may be None.
    default : object
        What a new one starts from; PydanticUndefined where the model has none.
    """

    name: str
    label: str
    unit: str
    kind: Kind
    explanation: str
    low: float | None = None
    high: float | None = None
    low_open: bool = False
    high_open: bool = False
    types: tuple[Any, ...] = ()
    optional: bool = False
    default: Any = PydanticUndefined

    @property
    def range_text(self) -> str:
        """Return the accepted range as words; empty when there is none worth saying."""
        unit = f" {self.unit}" if self.unit else ""
        low = None if self.low is None or self.low <= -_WIDE else self.low
        high = None if self.high is None or self.high >= _WIDE else self.high
        if low is not None and high is not None:
            said = (
                translate("fields", "more than {0:g} to {1:g}{2}")
                if self.low_open
                else translate("fields", "{0:g} to {1:g}{2}")
            )
            return with_minus(said.format(low, high, unit))
        if low is not None:
            said = (
                translate("fields", "more than {0:g}{1}")
                if self.low_open
                else translate("fields", "at least {0:g}{1}")
            )
            return with_minus(said.format(low, unit))
        most = translate("fields", "at most {0:g}{1}")
        return with_minus(most.format(high, unit)) if high is not None else ""


@cache
def fields_of(model: type[BaseModel]) -> tuple[Field, ...]:
    """Return the fields of a model that a form shows, in the model's order."""
    found = (_field(name, info) for name, info in model.model_fields.items() if name not in KEPT_OUT)
    return tuple(field for field in found if field is not None)


def words(name: str) -> str:
    """Return a field's name as people write it, without its unit.

    Examples
    --------
    >>> words("pitch_circle_mm")
    'Pitch circle'
    """
    if name in _LABELS:
        return translate("fields", _LABELS[name])
    for ending in UNITS:
        if name.endswith(ending):
            name = name.removesuffix(ending)
            break
    return translate("words", name.replace("_", " ").strip().capitalize())


def unit_of(name: str) -> str:
    """Return the unit that a field's name ends in; empty for none.

    Examples
    --------
    >>> unit_of("pulse_min_us"), unit_of("count")
    ('µs', '')
    """
    if name == "volts":
        return "V"
    return next((unit for ending, unit in UNITS.items() if name.endswith(ending)), "")


def _field(name: str, info: FieldInfo) -> Field | None:
    annotation, metadata = _bare(info.annotation, list(info.metadata))
    optional = False
    if _is_union(annotation):
        options = [option for option in typing.get_args(annotation) if option is not type(None)]
        optional = len(options) < len(typing.get_args(annotation))
        if len(options) == 1:
            annotation, metadata = _bare(options[0], metadata)
        else:
            annotation = tuple(_bare(option, metadata)[0] for option in options)
    kind, found_types = _kind(annotation, metadata)
    if kind is None:
        return None
    low, low_open = _end(metadata, "gt", "ge")
    high, high_open = _end(metadata, "lt", "le")
    explanation = " ".join((info.description or "").replace("``", "").split())
    return Field(
        name=name,
        label=words(name),
        unit=unit_of(name),
        kind=kind,
        explanation=translate("engine", explanation) if explanation else "",
        low=low,
        high=high,
        low_open=low_open,
        high_open=high_open,
        types=found_types,
        optional=optional,
        default=info.get_default(call_default_factory=True) if not info.is_required() else PydanticUndefined,
    )


def _bare(annotation: Any, metadata: list[Any]) -> tuple[Any, list[Any]]:
    """Return a type without its Annotated shells, and what the shells said."""
    while typing.get_origin(annotation) is Annotated:
        annotation, *more = typing.get_args(annotation)
        for item in more:
            metadata = [*metadata, *(item.metadata if isinstance(item, FieldInfo) else [item])]
    return annotation, metadata


def _is_union(annotation: Any) -> bool:
    return typing.get_origin(annotation) in (Union, types.UnionType)


def _kind(annotation: Any, metadata: list[Any]) -> tuple[Kind | None, tuple[Any, ...]]:
    if isinstance(annotation, tuple):
        is_parts = all(isinstance(option, type) and issubclass(option, BaseModel) for option in annotation)
        return (Kind.ONE_OF, annotation) if is_parts else (None, ())
    if typing.get_origin(annotation) is Literal:
        return None, ()
    if typing.get_origin(annotation) is tuple:
        return _list_kind(annotation)
    if not isinstance(annotation, type):
        return None, ()
    if issubclass(annotation, BaseModel):
        return Kind.PART, (annotation,)
    if issubclass(annotation, Enum):
        return Kind.CHOICE, (annotation,)
    if annotation is str:
        pattern = next((m.pattern for m in metadata if getattr(m, "pattern", None)), "")
        longest = next((m.max_length for m in metadata if getattr(m, "max_length", None)), 0)
        if "#" in pattern:
            return Kind.COLOUR, ()
        return (Kind.LONG_TEXT if longest > 1000 else Kind.TEXT), ()
    simple = {bool: Kind.YES_NO, int: Kind.WHOLE, float: Kind.NUMBER}
    return simple.get(annotation), ()


def _list_kind(annotation: Any) -> tuple[Kind | None, tuple[Any, ...]]:
    item, *rest = typing.get_args(annotation)
    if rest != [Ellipsis]:
        return None, ()
    item, _ = _bare(item, [])
    if isinstance(item, type) and issubclass(item, BaseModel):
        return Kind.PARTS, (item,)
    if _is_union(item):
        models = tuple(_bare(option, [])[0] for option in typing.get_args(item))
        return Kind.PARTS, models
    if isinstance(item, type) and issubclass(item, Enum):
        return Kind.CHOICES, (item,)
    if typing.get_origin(item) is tuple:
        return Kind.PAIRS, tuple(_bare(column, [])[0] for column in typing.get_args(item))
    return None, ()


def _end(metadata: list[Any], open_name: str, closed_name: str) -> tuple[float | None, bool]:
    """Return one end of a range, and whether it lies outside; the tightest where several are given."""
    ends = [
        (float(end), name == open_name)
        for item in metadata
        for name in (open_name, closed_name)
        if isinstance(item, annotated_types.BaseMetadata) and (end := getattr(item, name, None)) is not None
    ]
    if not ends:
        return None, False
    return max(ends) if open_name == "gt" else min(ends)
