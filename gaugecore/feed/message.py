"""One message of a feed as values: a JSON object, or ``name=value`` text."""

from __future__ import annotations

import json
import math
import re

LONGEST_BYTES = 8192
MOST_NAMES = 500
LONGEST_NAME = 200
#: The name that, when it is there, numbers the messages so that lost and late ones are noticed.
SEQUENCE = "seq"

_SEPARATORS = re.compile(r"[\s,;]+")


class Malformed(ValueError):
    """A message that cannot be read; feeds count it and go on."""


def parse_message(content: bytes) -> dict[str, float]:
    r"""Return the values in a message.

    Parameters
    ----------
    content : bytes
        UTF-8: a JSON object, or ``name=value`` pieces between spaces, commas, semicolons or line ends. Of a
        JSON object only numbers count, other members are nobody's business here.

    Raises
    ------
    Malformed
        If it is neither, or a number is no finite number.

    Examples
    --------
    >>> parse_message(b'{"rudder": 12, "ship": "ferry"}')
    {'rudder': 12.0}
    >>> parse_message(b"rudder=12; fuel=0.5\n")
    {'rudder': 12.0, 'fuel': 0.5}
    """
    if len(content) > LONGEST_BYTES:
        raise Malformed("too long")
    try:
        text = content.decode("utf-8").strip()
    except UnicodeDecodeError as error:
        raise Malformed("not UTF-8") from error
    if not text:
        raise Malformed("empty")
    values = _from_json(text) if text.startswith("{") else _from_text(text)
    if len(values) > MOST_NAMES:
        raise Malformed("too many names")
    return values


def _from_json(text: str) -> dict[str, float]:
    try:
        found = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise Malformed("not JSON") from error
    if not isinstance(found, dict):
        raise Malformed("not an object")
    return {
        name: _finite(value)
        for name, value in found.items()
        if isinstance(value, int | float) and not isinstance(value, bool) and len(name) <= LONGEST_NAME
    }


def _from_text(text: str) -> dict[str, float]:
    values = {}
    for piece in filter(None, _SEPARATORS.split(text)):
        name, equals, number = piece.partition("=")
        if not equals or not name or len(name) > LONGEST_NAME:
            raise Malformed("not name=value")
        values[name] = _finite(number)
    return values


def _finite(value: str | float) -> float:
    try:
        number = float(value)
    except (ValueError, OverflowError) as error:
        raise Malformed("not a number") from error
    if not math.isfinite(number):
        raise Malformed("not a finite number")
    return number
