"""Readings: what was seen at the needle, and the file that keeps them.

The file is CSV with a header, its columns in any order, ``#`` lines as comments, comma or semicolon between
columns and point or comma in numbers. Rows are numbered from 1; the header and comments do not count.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator, Sequence
from enum import Enum
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, ValidationError

from gaugecore.errors import ReadingsError
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


COLUMNS = ("command", "angle_deg", "direction", "cycle", "held", "note", "excluded")
_NEEDED = ("command", "angle_deg")

#: A file longer than a camera gives in an afternoon is not a readings file.
MOST_ROWS = 100_000
MOST_BYTES = 20_000_000


def read_readings(path: Path) -> tuple[Reading, ...]:
    """Return the readings of a file.

    Raises
    ------
    ReadingsError
        If the file cannot be read, is too large, is not UTF-8, or holds a row that cannot be understood.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ReadingsError(
                "the file is too large for readings",
                where=str(path),
                accepted=f"at most {MOST_BYTES:,} bytes",
            )
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise ReadingsError(
            f"cannot read the file ({error.strerror or error})",
            where=str(path),
            accepted="a readings CSV file",
        ) from error
    except UnicodeDecodeError as error:
        raise ReadingsError(
            f"byte {error.start + 1} is not UTF-8 text", where=str(path), accepted="a CSV file saved as UTF-8"
        ) from error
    return parse_readings(text, where=str(path))


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
    lines = list(_content(text))
    if not lines:
        raise ReadingsError("the file holds no readings", where=where, accepted=_header_wanted())
    header_text = lines[0][1]
    separator = ";" if header_text.count(";") > header_text.count(",") else ","
    header = [name.strip().lower() for name in _cells(header_text, separator, where=f"{where}, header")]
    _check_header(header, where=where)
    if len(lines) == 1:
        raise ReadingsError("the file has a header and no rows", where=where, accepted="a row a reading")
    if len(lines) - 1 > MOST_ROWS:
        raise ReadingsError(
            "too many rows", where=where, found=len(lines) - 1, accepted=f"at most {MOST_ROWS:,} rows"
        )
    return tuple(
        _reading(header, row_text, separator, where=f"{where}, row {row} (line {line})")
        for row, (line, row_text) in enumerate(lines[1:], start=1)
    )


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
    columns = COLUMNS if any(reading.excluded for reading in readings) else COLUMNS[:-1]
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


def _content(text: str) -> Iterator[tuple[int, str]]:
    """Yield (line number, line) of all lines that are neither blank nor comment."""
    for number, line in enumerate(text.removeprefix("\ufeff").splitlines(), start=1):
        if line.strip(" \t,;") and not line.lstrip().startswith("#"):
            yield number, line


def _cells(line: str, separator: str, *, where: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=separator, strict=True, skipinitialspace=True))
    except csv.Error as error:
        raise ReadingsError(
            f"the line is not CSV ({error})", where=where, accepted="cells between commas or semicolons"
        ) from error


def _header_wanted() -> str:
    return "a header with command, angle_deg and if you like direction, cycle, held, note, excluded"


def _check_header(header: list[str], *, where: str) -> None:
    where = f"{where}, header"
    for name in header:
        if name not in COLUMNS:
            raise ReadingsError("a column is not known", where=where, found=name, accepted=_header_wanted())
        if header.count(name) > 1:
            raise ReadingsError(
                "a column is there twice", where=where, found=name, accepted="each column once"
            )
    for name in _NEEDED:
        if name not in header:
            raise ReadingsError(f"the column {name} is missing", where=where, accepted=_header_wanted())


def _reading(header: list[str], line: str, separator: str, *, where: str) -> Reading:
    cells = _cells(line, separator, where=where)
    if len(cells) != len(header):
        hint = "; a decimal comma needs semicolons between columns" if separator == "," else ""
        raise ReadingsError(
            f"the row has {len(cells)} cells, the header {len(header)}{hint}",
            where=where,
            accepted="a cell a column",
        )
    values: dict[str, Any] = {}
    for name, cell in zip(header, cells, strict=True):
        values[name] = _value(name, cell.strip(), where=f"{where}, column {name}")
    try:
        return Reading(**values)
    except ValidationError as error:
        first = error.errors()[0]
        name = str(first["loc"][0]) if first["loc"] else ""
        raise ReadingsError(
            first["msg"][0].lower() + first["msg"][1:],
            where=f"{where}, column {name}",
            found=values.get(name),
        ) from error


def _value(name: str, cell: str, *, where: str) -> Any:
    if name in _NEEDED:
        return _number(cell, where=where)
    if name == "cycle":
        return _whole(cell, where=where)
    if name in ("direction", "held"):
        kind: type[Direction] | type[Held] = Direction if name == "direction" else Held
        try:
            return kind(cell.lower())
        except ValueError:
            accepted = ", ".join(member.value for member in kind if member.value) + " or empty"
            raise ReadingsError("the word is not known", where=where, found=cell, accepted=accepted) from None
    return cell


def _number(cell: str, *, where: str) -> float:
    text = cell.replace("\u2212", "-")  # the typographic minus of word processors
    if text.count(",") == 1 and "." not in text:
        text = text.replace(",", ".")
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not math.isfinite(number) or "_" in text:
        raise ReadingsError("a number is needed", where=where, found=cell, accepted="such as 1500 or -12.5")
    return number


def _whole(cell: str, *, where: str) -> int | None:
    if not cell:
        return None
    if not cell.isascii() or not cell.isdigit() or len(cell) > 7:
        raise ReadingsError(
            "a whole number is needed", where=where, found=cell, accepted="0 to 1000000 or empty"
        )
    return int(cell)
