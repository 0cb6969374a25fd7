"""What is wrong with a panel file is said in plain words, never in those of the library that found it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from gaugecore.errors import DocumentError
from gaugecore.panel.document import Panel
from gaugecore.panel.edit import with_value
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import panel_text, parse_panel
from gaugecore.plain_words import PATTERN_WORDS
from tests.panel.test_store import refusal

#: What the library's own sentences look like.
LIBRARY = (
    "should",
    "Input",
    "input",
    "String",
    "pattern",
    "Field required",
    "valid ",
    "tag",
    "'kind' of",
    "model",
)
DIAL = ("instruments", 0)


@pytest.fixture
def data() -> dict[str, Any]:
    return dict(json.loads(panel_text(starter_panel("Desk"))))


@pytest.mark.parametrize(
    ("place", "value", "said"),
    [
        (("title",), "x" * 201, "title: must have at most 200 characters"),
        (("title",), "two\nlines", "title: must be text on one line without control characters, found"),
        (("title",), 7, "title: must be text, found 7"),
        (("note",), "x" * 4001, "note: must have at most 4000 characters"),
        (
            (*DIAL, "id"),
            "Dial One",
            "id: must be 1 to 40 lower-case letters, digits and hyphens, a letter first",
        ),
        (("stock",), [], "stock: must be a list of at least 1 item"),
        (("stock",), [{}] * 21, "stock: must be a list of at most 20 items"),
        (("stock",), 7, "stock: must be a list, found 7"),
        (("supply",), 7, "supply: must be an object with keys and values, found 7"),
        ((*DIAL, "raw", "low"), 1.5, "raw.low: must be a whole number, found 1.5"),
        ((*DIAL, "raw", "low_value"), "5", "raw.low_value: must be a number, found '5'"),
        (
            (*DIAL, "movement", "clockwise_with_pulse"),
            1,
            "clockwise_with_pulse: must be true or false, found 1",
        ),
        ((*DIAL, "movement", "kind"), "spring", "there is no kind 'spring' here; known: 'servo', 'stepper'"),
        ((*DIAL, "movement"), {}, "movement: the key 'kind' is missing here"),
        (
            (*DIAL, "face", "legends"),
            [{"colour": "red"}],
            "colour: must be a colour as #rrggbb with lower-case",
        ),
        (
            (*DIAL, "calibration", "sessions"),
            [{"taken_on": "May"}],
            "taken_on: must be a day as year-month-day",
        ),
        (
            (*DIAL, "calibration", "sessions"),
            [{"readings": [{"command": 1500, "angle_deg": 0, "direction": "left"}]}],
            "direction: must be 'up', 'down' or ''",
        ),
    ],
)
def test_a_fault_is_said_in_plain_words(
    data: dict[str, Any], place: tuple[Any, ...], value: object, said: str
) -> None:
    owner: Any = data
    for step in place[:-1]:
        owner = owner[step]
    owner[place[-1]] = value
    text = refusal(data)
    assert said in text
    assert [word for word in LIBRARY if word in text] == []


def _patterns(schema: Any) -> Iterator[str]:
    if isinstance(schema, dict):
        if isinstance(schema.get("pattern"), str):
            yield schema["pattern"]
        for part in schema.values():
            yield from _patterns(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from _patterns(part)


def test_every_pattern_of_the_document_has_words() -> None:
    assert set(_patterns(Panel.model_json_schema())) == set(PATTERN_WORDS)


def test_an_edit_is_refused_in_the_same_words() -> None:
    panel = starter_panel("Desk")
    with pytest.raises(DocumentError, match="title: must have at most 200 characters"):
        with_value(panel, ("title",), "x" * 201)


def test_the_format_is_named_as_it_must_be() -> None:
    with pytest.raises(DocumentError, match='accepted: "needlewright-panel"'):
        parse_panel('{"format": "other", "version": 1}')
