"""Rows of a CSV file as checked values: columns in any order, comments, either separator and decimal sign.

Knows files of rows; does not know what a row means, that is for the value it is made into.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from itertools import islice
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from gaugecore.errors import ReadingsError
from gaugecore.files import read_at_most
from gaugecore.plain_words import plain_message

#: A file longer than a camera gives in an afternoon is not a readings file.
MOST_ROWS = 100_000
MOST_BYTES = 8_000_000
#: Blank lines and comments included.
_MOST_LINES = 4 * MOST_ROWS

Row = TypeVar("Row", bound=BaseModel)


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """The columns a file may have.

    Attributes
    ----------
    names : tuple of str
        All of them.
    numbers : tuple of str
        Those that hold a number, and must be there.
    words : mapping of str to Enum
        Those that hold one of a few words.
    """

    names: tuple[str, ...]
    numbers: tuple[str, ...]
    words: Mapping[str, type[Enum]] = field(default_factory=dict)

    @property
    def wanted(self) -> str:
        """Return what a header has to hold, as a clause."""
        others = [name for name in self.names if name not in self.numbers]
        return f"a header with {', '.join(self.numbers)} and if you like {', '.join(others)}"


def read_text(path: Path) -> str:
    """Return the text of a file.

    Raises
    ------
    ReadingsError
        If the file cannot be read, is too large or is not UTF-8.
    """
    try:
        content = read_at_most(path, MOST_BYTES)
        if content is None:
            raise ReadingsError(
                "the file is too large for readings",
                where=str(path),
                accepted=f"at most {MOST_BYTES:,} bytes",
            )
        return content.decode("utf-8-sig")
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


def parse_rows(text: str, *, where: str, columns: Columns, row: type[Row]) -> tuple[Row, ...]:
    """Return the rows of a text, each made into a value.

    Raises
    ------
    ReadingsError
        At the first header or row that cannot be understood; names row, line and column.
    """
    if max(text.count("\n"), text.count("\r")) > _MOST_LINES:
        raise ReadingsError("too many lines", where=where, accepted=f"at most {_MOST_LINES:,} lines")
    lines = list(islice(_content(text), MOST_ROWS + 2))
    if not lines:
        raise ReadingsError("the file holds no readings", where=where, accepted=columns.wanted)
    header_text = lines[0][1]
    separator = ";" if header_text.count(";") > header_text.count(",") else ","
    header = [name.strip().lower() for name in _cells(header_text, separator, where=f"{where}, header")]
    _check_header(header, columns, where=f"{where}, header")
    if len(lines) == 1:
        raise ReadingsError("the file has a header and no rows", where=where, accepted="a row a reading")
    if len(lines) - 1 > MOST_ROWS:
        raise ReadingsError("too many rows", where=where, accepted=f"at most {MOST_ROWS:,} rows")
    places = [
        (f"{where}, row {number} (line {line})", content) for number, (line, content) in enumerate(lines)
    ]
    return tuple(
        _made(row, _cells_by_name(header, content, separator, where=place), columns, where=place)
        for place, content in places[1:]
    )


def comments_in(text: str) -> tuple[str, ...]:
    r"""Return the comment lines of a text, each without its ``#``.

    Examples
    --------
    >>> comments_in("# the rudder\ncommand,angle_deg\n#second day\n1500,0\n")
    ('the rudder', 'second day')
    """
    lines = (line.strip() for line in io.StringIO(text.removeprefix("\ufeff"), newline=None))
    return tuple(line[1:].removeprefix(" ") for line in lines if line.startswith("#"))


def _content(text: str) -> Iterator[tuple[int, str]]:
    """Yield (line number, line) of all lines that are neither blank nor comment."""
    lines = io.StringIO(text.removeprefix("\ufeff"), newline=None)
    for number, line in enumerate((line.rstrip("\n") for line in lines), start=1):
        if line.strip(" \t,;") and not line.lstrip().startswith("#"):
            yield number, line


def _cells(line: str, separator: str, *, where: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=separator, strict=True, skipinitialspace=True))
    except csv.Error as error:
        raise ReadingsError(
            f"the line is not CSV ({error})", where=where, accepted="cells between commas or semicolons"
        ) from error


def _check_header(header: list[str], columns: Columns, *, where: str) -> None:
    for name in header:
        if name not in columns.names:
            raise ReadingsError("a column is not known", where=where, found=name, accepted=columns.wanted)
        if header.count(name) > 1:
            raise ReadingsError(
                "a column is there twice", where=where, found=name, accepted="each column once"
            )
    for name in columns.numbers:
        if name not in header:
            raise ReadingsError(f"the column {name} is missing", where=where, accepted=columns.wanted)


def _cells_by_name(header: list[str], line: str, separator: str, *, where: str) -> dict[str, str]:
    cells = _cells(line, separator, where=where)
    if len(cells) != len(header):
        hint = "; a decimal comma needs semicolons between columns" if separator == "," else ""
        raise ReadingsError(
            f"the row has {len(cells)} cells, the header {len(header)}{hint}",
            where=where,
            accepted="a cell a column",
        )
    return {name: cell.strip() for name, cell in zip(header, cells, strict=True)}


def _made(row: type[Row], cells: dict[str, str], columns: Columns, *, where: str) -> Row:
    values = {
        name: _value(name, cell, columns, where=f"{where}, column {name}") for name, cell in cells.items()
    }
    try:
        return row(**values)
    except ValidationError as error:
        first = error.errors()[0]
        name = str(first["loc"][0]) if first["loc"] else ""
        raise ReadingsError(
            plain_message(first["type"], first["msg"], first.get("ctx")),
            where=f"{where}, column {name}",
            found=values.get(name),
        ) from error


def _value(name: str, cell: str, columns: Columns, *, where: str) -> Any:
    if name in columns.numbers:
        return _number(cell, where=where)
    if name == "cycle":
        return _whole(cell, where=where)
    if name in columns.words:
        try:
            return columns.words[name](cell.lower())
        except ValueError:
            words = [member.value for member in columns.words[name] if member.value]
            raise ReadingsError(
                "the word is not known", where=where, found=cell, accepted=", ".join(words) + " or empty"
            ) from None
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
