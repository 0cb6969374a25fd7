"""The words of the window that come from the engine: labels, choices, explanations, names of presets.

They are translated where they are shown, but stand in no source that Qt's tools read. For translators they
are written out as one: ``python -m needlewright.ui.vocabulary > words.py``.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from enum import Enum

from pydantic import BaseModel

from gaugecore.board.session import CAUTION
from gaugecore.drawing.elements import Operation
from gaugecore.face.presets import preset_names
from gaugecore.findings import Severity
from gaugecore.movement.pointing import Care
from gaugecore.panel.document import Panel
from gaugecore.supply.meter import State
from needlewright.samples import sample_names
from needlewright.ui.canvas import Overlay
from needlewright.ui.desk import Stage
from needlewright.ui.fields import fields_of, words
from needlewright.ui.finish import Finish
from needlewright.ui.help_pages import docs_folder
from needlewright.ui.wishes import PlayingWishes, SilenceWishes, TableWishes

#: Models that forms are made of.
_SHOWN: tuple[type[BaseModel], ...] = (Panel, PlayingWishes, SilenceWishes, TableWishes)
#: Choices that are shown but are no field of the panel.
_CHOICES: tuple[type[Enum], ...] = (Care, Finish, Operation, Overlay, Severity, Stage, State)


def vocabulary() -> list[tuple[str, str]]:
    """Return every such text with its context, in a fixed order.

    Call it while no translation is loaded: the texts are given as they are shown.
    """
    found = {("engine", CAUTION)}
    found |= {("words", name.replace("-", " ")) for name in (*preset_names(), *sample_names())}
    found |= {("words", path.stem.replace("-", " ")) for path in docs_folder().glob("*.md")}
    found |= {("words", _plain(member)) for choices in _CHOICES for member in choices}
    seen: set[type[BaseModel]] = set()
    models = [each for model in _SHOWN for each in _models(model, seen)]
    for model in models:
        if "kind" in model.model_fields:
            found.add(("words", words(str(model.model_fields["kind"].default))))
        for field in fields_of(model):
            found |= {("words", field.label), ("engine", field.explanation)}
            choices = [kind for kind in field.types if isinstance(kind, type) and issubclass(kind, Enum)]
            found |= {("words", _plain(member)) for kind in choices for member in kind}
    return sorted(pair for pair in found if pair[1])


def _plain(member: Enum) -> str:
    return str(member.value).replace("_", " ").replace("-", " ")


def _models(model: type[BaseModel], seen: set[type[BaseModel]]) -> Iterator[type[BaseModel]]:
    if model in seen:
        return
    seen.add(model)
    yield model
    for field in fields_of(model):
        for kind in field.types:
            if isinstance(kind, type) and issubclass(kind, BaseModel):
                yield from _models(kind, seen)


if __name__ == "__main__":
    for context, text in vocabulary():
        marked = f"{json.dumps(context)}, {json.dumps(text, ensure_ascii=False)}"
        print(f"QT_TRANSLATE_NOOP({marked})")  # noqa: T201
