"""The forms a table can be written in."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from gaugecore.table.c import to_c
from gaugecore.table.colophon import identifier
from gaugecore.table.integer import Table
from gaugecore.table.micropython import to_micropython
from gaugecore.table.text import to_csv, to_json

#: Writer and file ending by the name used on the command line.
FORMATS: dict[str, tuple[Callable[[Table], bytes], str]] = {
    "c": (to_c, ".h"),
    "micropython": (to_micropython, ".py"),
    "csv": (to_csv, ".csv"),
    "json": (to_json, ".json"),
}


def written(table: Table, formats: Iterable[str] = tuple(FORMATS)) -> dict[str, bytes]:
    """Return the content of a table's files by file name."""
    stem = identifier(table.origin.name)
    return {stem + FORMATS[name][1]: FORMATS[name][0](table) for name in formats}
