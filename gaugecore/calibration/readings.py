"""Readings: what was seen at the needle, and the file that keeps them.

The file is CSV with a header, its columns in any order, ``#`` lines as comments, comma or semicolon between
columns and point or comma in numbers. Rows are numbered from 1; the header and comments do not count.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from enum import Enum
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, ValidationError

from gaugecore.calibration.csv_rows import Columns, parse_rows, read_text
from gaugecore.errors import ReadingsError
from gaugecore.plain_words import plain_message
from gaugecore.values import Caption, Part, Quantity


class Direction(Enum):
    """From which side the needle arrived."""

    UP = "up"  #: with rising dial angle, clockwise, whatever the command did
    DOWN = "down"  #: with falling dial angle
    UNKNOWN = ""


class Held(Enum):
    """Which of the two was set; the other one was read."""

    COMMAND = "command"  #: the command was set, the angle read off the face
    ANGLE = "angle"  #: the needle was jogged onto a mark, the command noted
    UNKNOWN = ""


class Reading(Part):
    """One observation: the needle stood at ``angle_deg`` under ``command``."""

    command: Quantity
    angle_deg: Annotated[float, Field(ge=-36000, le=36000)]
    direction: Direction = Direction.UNKNOWN
    cycle: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    held: Held = Held.UNKNOWN
    note: Caption = ""
    excluded: Caption = ""
    """Why the user leaves it out of the fit; empty: it counts."""
    kept: Caption = ""
    """Why the user stands by it although the fit doubts it; empty: the fit is free to."""


#: What people call a field that they fill in.
_SAID = {"angle_deg": "dial angle", "excluded": "reason", "kept": "reason"}


def make_reading(**values: Any) -> Reading:
    r"""Return a reading of values that a person gave.

    Raises
    ------
    ReadingsError
        If one of them cannot be kept: a remark that is too long, or not on one line.

    Examples
    --------
    >>> make_reading(command=1500.0, angle_deg=0.5, note="bent\tneedle")
    Traceback (most recent call last):
    gaugecore.errors.ReadingsError: the note must be text on one line without control characters, ...
    """
    try:
        return Reading(**values)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        name = str(first["loc"][0])
        said = plain_message(first["type"], first["msg"], first.get("ctx"))
        raise ReadingsError(f"the {_SAID.get(name, name)} {said}", found=values.get(name)) from error


COLUMNS = Columns(
    names=("command", "angle_deg", "direction", "cycle", "held", "note", "excluded", "kept"),
    numbers=("command", "angle_deg"),
    words={"direction": Direction, "held": Held},
)


def read_readings(path: Path) -> tuple[Reading, ...]:
    """Return the readings of a file.

    Raises
    ------
    ReadingsError
        If the file cannot be read, is too large, is not UTF-8, or holds a row that cannot be understood.
    """
    return parse_readings(read_text(path), where=str(path))


def parse_readings(text: str, *, where: str) -> tuple[Reading, ...]:
    r"""Return the readings in the text of a readings file.

    Parameters
    ----------
    text : str
        The whole file.
    where : str
        Its name, for messages.

    Raises
    ------
    ReadingsError
        At the first header or row that cannot be understood; names row, line and column.

    Examples
    --------
    >>> rows = parse_readings("angle_deg;command;direction\n-12,5;1400;up\n", where="r.csv")
    >>> rows[0].angle_deg, rows[0].direction
    (-12.5, <Direction.UP: 'up'>)
    """
    return parse_rows(text, where=where, columns=COLUMNS, row=Reading)


def format_readings(readings: Sequence[Reading], *, comment: str = "") -> str:
    """Return readings as the text of a readings file.

    Parameters
    ----------
    readings : sequence of Reading
        In the order of the rows.
    comment : str
        Put above the header, each line behind a ``#``.

    Examples
    --------
    >>> print(format_readings([Reading(command=1500, angle_deg=0.5, direction=Direction.UP)]), end="")
    command,angle_deg,direction,cycle,held,note
    1500,0.5,up,,,
    """
    # the user's own verdicts are columns only where there are any
    idle = [name for name in ("excluded", "kept") if not any(getattr(r, name) for r in readings)]
    columns = [name for name in COLUMNS.names if name not in idle]
    out = io.StringIO()
    for line in comment.splitlines():
        out.write(f"# {line}".rstrip() + "\n")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    for reading in readings:
        writer.writerow([_cell(getattr(reading, column)) for column in columns])
    return out.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, float):
        return int(value) if value.is_integer() and abs(value) < 1e15 else repr(value)
    return "" if value is None else value
