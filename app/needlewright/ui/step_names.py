"""Names for steps of the undo list, and one-line summaries of parts."""

from __future__ import annotations

from enum import Enum

from pydantic import BaseModel

from needlewright.ui.fields import Field, Kind, fields_of
from needlewright.ui.translation import in_words, translate, with_minus

_LONGEST = 28


def step_name(field: Field, value: object, where: str = "") -> str:
    """Return what a step is called: "rudder: diameter to 62 mm"."""
    label = field.label[:1].lower() + field.label[1:]
    if value is not None:
        said = translate("step_names", "{0} to {1}").format(label, value_text(field, value))
    else:
        said = translate("step_names", "no {0}").format(label)
    return f"{where}: {said}" if where else said


def value_text(field: Field, value: object) -> str:
    """Return a value of a field with its unit."""
    if isinstance(value, bool):
        return translate("step_names", "yes") if value else translate("step_names", "no")
    if isinstance(value, Enum):
        return in_words(value)
    if isinstance(value, int | float):
        unit = field.unit if field.unit == "°" else f" {field.unit}".rstrip()
        return with_minus(f"{value:.10g}{unit}")
    if isinstance(value, tuple):
        return ", ".join(value_text(field, item) for item in value) or translate("step_names", "none")
    if isinstance(value, BaseModel):
        return summary_of(value)
    text = str(value)
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"


def summary_of(part: object) -> str:
    """Return a part in a few words: its text if it has one, else its first figures."""
    if not isinstance(part, BaseModel):
        return ""
    said: list[str] = []
    for field in fields_of(type(part)):
        value = getattr(part, field.name)
        if field.kind in (Kind.TEXT, Kind.NUMBER, Kind.WHOLE) and value not in (None, ""):
            said.append(value_text(field, value))
        if len(said) == 2:
            break
    return ", ".join(said)
