"""Edits of the document: a value at a place is replaced, and a new panel comes back, checked.

A place is a path of field names, positions in lists, and ids of instruments, in the words of findings:
``instruments.rudder.face.legends.0.text``. Only the models along the path are made anew; everything else is
shared with the panel before, which is what makes an undo list of whole panels cheap.
"""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ValidationError

from gaugecore.errors import DocumentError, Fault
from gaugecore.panel.document import Panel
from gaugecore.plain_words import plain_message

Step = str | int
Place = tuple[Step, ...]


def parse_place(text: str) -> Place:
    """Return the path that a finding or a fault names.

    Examples
    --------
    >>> parse_place("instruments.rudder.face.legends.0")
    ('instruments', 'rudder', 'face', 'legends', 0)
    """
    return tuple(int(step) if step.isdigit() else step for step in text.split(".") if step)


def place_text(place: Place) -> str:
    """Return a path as findings write it.

    Examples
    --------
    >>> place_text(("supply", "loads", 0))
    'supply.loads.0'
    """
    return ".".join(str(step) for step in place)


def value_at(root: object, place: Place) -> Any:
    """Return what stands at a place.

    Raises
    ------
    DocumentError
        If there is no such place.
    """
    here: Any = root
    for depth, step in enumerate(place):
        here = _below(here, step, place[: depth + 1])
    return here


def with_value(panel: Panel, place: Place, value: object) -> Panel:
    """Return the panel with one value replaced.

    Parameters
    ----------
    panel : Panel
        The panel before; it stays as it is.
    place : tuple of str or int
        Where.
    value : object
        The new value, of the type the field has: numbers, text, an enum's member, a part, a tuple.

    Raises
    ------
    DocumentError
        If the place does not exist, or the value or what it makes of its surroundings is not valid.

    Examples
    --------
    >>> from gaugecore.panel.starter import starter_panel
    >>> panel = starter_panel("Desk")
    >>> with_value(panel, ("supply", "volts"), 4.8).supply.volts
    4.8
    >>> with_value(panel, ("supply", "volts"), -1.0)
    Traceback (most recent call last):
    gaugecore.errors.DocumentError: supply.volts: must be greater than 0, found -1.0
    """
    if not place:
        if isinstance(value, Panel):
            return value
        raise DocumentError(Fault(what="only a panel can stand for a panel"))
    changed = _replaced(panel, place, value, ())
    assert isinstance(changed, Panel)
    return changed


def _replaced(owner: Any, place: Place, value: object, above: Place) -> Any:
    step, rest = place[0], place[1:]
    new = value if not rest else _replaced(_below(owner, step, (*above, step)), rest, value, (*above, step))
    if isinstance(owner, tuple):
        at = _position(owner, step, (*above, step))
        return (*owner[:at], new, *owner[at + 1 :])
    _below(owner, step, (*above, step))
    fields = {name: getattr(owner, name) for name in type(owner).model_fields}
    try:
        # the parts below are taken as they are, so this checks one model, not the whole tree
        return type(owner).model_validate({**fields, step: new})
    except ValidationError as error:
        raise DocumentError(*_faults(error, above)) from error


def _below(owner: Any, step: Step, place: Place) -> Any:
    if isinstance(owner, tuple):
        return owner[_position(owner, step, place)]
    if isinstance(owner, BaseModel) and step in type(owner).model_fields:
        return getattr(owner, str(step))
    raise DocumentError(Fault(what="there is no such place in the panel", where=place_text(place)))


def _position(items: tuple[Any, ...], step: Step, place: Place) -> int:
    if isinstance(step, int) and 0 <= step < len(items):
        return step
    for at, item in enumerate(items):
        if isinstance(step, str) and getattr(item, "id", None) == step:
            return at
    raise DocumentError(Fault(what="there is no such place in the panel", where=place_text(place)))


def _faults(error: ValidationError, above: Place) -> list[Fault]:
    return [
        Fault(
            what=plain_message(detail["type"], detail["msg"], detail.get("ctx")),
            where=place_text((*above, *detail["loc"])),
            found=None if isinstance(detail["input"], dict | list | tuple | BaseModel) else detail["input"],
        )
        for detail in error.errors(include_url=False)
    ]
