"""What a checked value says is wrong with it, in this project's words and not in its library's."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

#: What a text must be like, by the pattern that its field has.
PATTERN_WORDS = {
    r"^[a-z][a-z0-9-]{0,39}$": "1 to 40 lower-case letters, digits and hyphens, a letter first",
    r"^[^\x00-\x1f\x7f-\x9f\u2028\u2029]*$": "text on one line without control characters",
    r"^#[0-9a-f]{6}$": "a colour as #rrggbb with lower-case digits",
    r"^([A-L][0-7])?$": "a pin as a port's letter and a number, such as D3, or empty",
    r"^\d{4}-\d{2}-\d{2}$": "a day as year-month-day, such as 2026-03-14",
}

_WORDS = {
    "extra_forbidden": "unknown key",
    "missing": "this key is missing",
    "union_tag_not_found": "the key 'kind' is missing here",
    "finite_number": "must be a finite number",
    "string_type": "must be text",
    "int_type": "must be a whole number",
    "int_from_float": "must be a whole number",
    "float_type": "must be a number",
    "bool_type": "must be true or false",
    "tuple_type": "must be a list",
    "list_type": "must be a list",
    "dict_type": "must be an object with keys and values",
    "model_type": "must be an object with keys and values",
    "model_attributes_type": "must be an object with keys and values",
    "none_required": "must be null",
}


def plain_message(kind: str, message: str, context: Mapping[str, Any] | None = None) -> str:
    """Return a fault in plain words.

    Parameters
    ----------
    kind, message : str
        As the library has them.
    context : mapping or None
        The numbers and words that its message is made of.

    Examples
    --------
    >>> plain_message("string_too_long", "String should have at most 200 characters", {"max_length": 200})
    'must have at most 200 characters'
    >>> plain_message("literal_error", "Input should be 'a' or 'b'", {"expected": "'a' or 'b'"})
    "must be 'a' or 'b'"
    """
    if kind in _WORDS:
        return _WORDS[kind]
    of = dict(context or {})
    match kind:
        case "json_invalid":
            return f"not JSON ({of.get('error', message)})"
        case "value_error":
            return message.removeprefix("Value error, ")
        case "string_pattern_mismatch":
            return f"must be {PATTERN_WORDS.get(of.get('pattern', ''), 'text of another form')}"
        case "string_too_long":
            return f"must have at most {_count(of['max_length'], 'character')}"
        case "string_too_short":
            return f"must have at least {_count(of['min_length'], 'character')}"
        case "too_long":
            return f"must be a list of at most {_count(of['max_length'], 'item')}"
        case "too_short":
            return f"must be a list of at least {_count(of['min_length'], 'item')}"
        case "union_tag_invalid":
            return f"there is no kind {of['tag']!r} here; known: {of['expected_tags']}"
        case _:
            # "Input should be less than 3" and the like
            return re.sub(r"^(input|string|value) should ", "must ", message[:1].lower() + message[1:])


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
