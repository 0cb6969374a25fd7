"""What is fuzzed: each target takes bytes and lets nothing out but this project's own errors."""

from __future__ import annotations

import contextlib
from collections.abc import Callable

from gaugecore.board.messages import LineReader, parse_answer, parse_request
from gaugecore.board.stored_table import StoredTable
from gaugecore.calibration.readings import format_readings, parse_readings
from gaugecore.calibration.result import Fit
from gaugecore.errors import NeedlewrightError
from gaugecore.panel.store import panel_text, parse_panel


def panel(data: bytes) -> None:
    """A panel file: what is accepted comes back the same."""
    with contextlib.suppress(NeedlewrightError):
        read = parse_panel(data.decode("utf-8", "surrogateescape"))
        assert parse_panel(panel_text(read)) == read


def readings(data: bytes) -> None:
    """A readings file: what is accepted comes back the same."""
    with contextlib.suppress(NeedlewrightError):
        read = parse_readings(data.decode("utf-8", "replace"), where="fuzz")
        assert len(parse_readings(format_readings(read), where="again")) == len(read)


def fit(data: bytes) -> None:
    """A fit file; pydantic says what is wrong, and the reader puts it in words."""
    with contextlib.suppress(ValueError):
        Fit.model_validate_json(data)


def line(data: bytes) -> None:
    """Bytes on the line: only framed bodies with a valid checksum come out."""
    for body in LineReader().feed(data):
        parse_request(body)
        parse_answer(body)


def stored_table(data: bytes) -> None:
    """A table as the board keeps it."""
    with contextlib.suppress(NeedlewrightError):
        table = StoredTable.from_bytes(data)
        assert StoredTable.from_bytes(table.to_bytes()) == table


TARGETS: dict[str, Callable[[bytes], None]] = {
    "panel": panel,
    "readings": readings,
    "fit": fit,
    "line": line,
    "stored_table": stored_table,
}
