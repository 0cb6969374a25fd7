"""What is fuzzed: each target takes bytes and lets nothing out but this project's own errors."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable

from gaugecore.board.messages import LineReader, parse_answer, parse_request
from gaugecore.board.misbehaviour import Imp, Misbehaviour
from gaugecore.board.stored_table import StoredTable
from gaugecore.board.virtual_options import VirtualOptions
from gaugecore.calibration.fit_file import parse_fit
from gaugecore.calibration.readings import format_readings, parse_readings
from gaugecore.calibration.result import Fit
from gaugecore.drawing.elements import Operation
from gaugecore.drawing.outline_font import font_of, set_letters
from gaugecore.errors import NeedlewrightError
from gaugecore.feed.message import LONGEST_BYTES, MOST_NAMES, Malformed, parse_message
from gaugecore.feed.recording import parse_recording
from gaugecore.panel.store import panel_text, parse_panel
from gaugecore.table.from_fit import Wanted, straight, table_from_fit
from gaugecore.table.integer import Origin
from gaugecore.table.written import written


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
    """A fit file: what is accepted comes back the same."""
    with contextlib.suppress(NeedlewrightError):
        read = parse_fit(data, where="fuzz")
        assert Fit.model_validate_json(read.model_dump_json()) == read


def table(data: bytes) -> None:
    """A fit file made into a table in every form, as the verb `table --fit` does."""
    with contextlib.suppress(NeedlewrightError):
        read = parse_fit(data, where="fuzz")
        made = table_from_fit(
            read,
            raw_range=(0, 65535),
            angle_deg=straight((0, 65535), read.angle_range_deg),
            wanted=Wanted(clamp=True),
            origin=Origin.named("fuzz"),
        )
        assert written(made, ("csv", "json", "c", "micropython"))


def line(data: bytes) -> None:
    """Bytes on the line: only framed bodies with a valid checksum come out."""
    for body in LineReader().feed(data):
        parse_request(body)
        parse_answer(body)


def board(data: bytes) -> None:
    """Bodies with a valid checksum, one a line, to a board: no command ever leaves the limits it stores."""
    bench = VirtualOptions(channels=2).board(Imp(Misbehaviour(), 1))
    assert bench.answer("1 hello 1", 0.0) is not None
    for number, body in enumerate(data.decode("ascii", "ignore").split("\n")[:50], start=2):
        for said in (body, f"{number} {body}"):
            answer = bench.answer(said, number / 10)
            assert answer is None or parse_answer(answer) is not None
        for channel in bench.channels:
            stored = channel.storage
            command = channel.last_command
            assert not channel.powered or not command or stored.low <= command <= stored.high


def stored_table(data: bytes) -> None:
    """A table as the board keeps it."""
    with contextlib.suppress(NeedlewrightError):
        stored = StoredTable.from_bytes(data)
        assert StoredTable.from_bytes(stored.to_bytes()) == stored


def message(data: bytes) -> None:
    """A datagram, or a line of standard input: few, finite values, or it is malformed."""
    with contextlib.suppress(Malformed):
        values = parse_message(data)
        assert len(data) <= LONGEST_BYTES
        assert len(values) <= MOST_NAMES
        assert all(map(math.isfinite, values.values()))


def recording(data: bytes) -> None:
    """A recording: times that never fall, rows as long as the header."""
    with contextlib.suppress(NeedlewrightError):
        read = parse_recording(data.decode("utf-8", "replace"), where="fuzz")
        assert all(len(row) == len(read.names) for row in read.rows)
        assert read.length_s >= 0


def font(data: bytes) -> None:
    """A font file: its letters are outlines of finite points."""
    with contextlib.suppress(NeedlewrightError):
        found = font_of(data, name="fuzz")
        drawn = set_letters("H0°8", found, operation=Operation.ENGRAVE, part="face", height_mm=3.0)
        if drawn is not None:
            assert all(math.isfinite(at) for loop in drawn.loops for point in loop for at in point)


TARGETS: dict[str, Callable[[bytes], None]] = {
    "panel": panel,
    "readings": readings,
    "fit": fit,
    "table": table,
    "line": line,
    "board": board,
    "stored_table": stored_table,
    "message": message,
    "recording": recording,
    "font": font,
}
