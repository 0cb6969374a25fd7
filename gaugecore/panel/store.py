"""Panel files: load, save, and say everything that is wrong with one at once."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from gaugecore.errors import DocumentError, Fault, quoted
from gaugecore.files import read_at_most, write_whole
from gaugecore.panel.document import FORMAT, VERSION, Panel
from gaugecore.panel.fonts import with_relative_font_paths, with_whole_font_paths
from gaugecore.panel.migrate import migrated
from gaugecore.plain_words import plain_message

#: The end of every panel file's name.
SUFFIX = ".panel.json"
#: A panel with 80,000 readings stays below these; a larger file is something else, and refused unread.
LARGEST_BYTES = 16_000_000
MOST_VALUES = 500_000
#: Objects, and items of lists, besides readings and fits; each that is wrong costs time and memory to say so.
MOST_PARTS = 20_000
#: Faults shown of one file; past this the first ones matter more than the count.
MOST_FAULTS = 50


def load_panel(path: Path) -> Panel:
    """Return the panel in a file.

    Raises
    ------
    DocumentError
        If the file cannot be read or is not a panel; carries every fault with its path.
    """
    return panel_of_bytes(read_panel_bytes(path), path)


def read_panel_bytes(path: Path) -> bytes:
    """Return what a panel file holds.

    Raises
    ------
    DocumentError
        If the file cannot be read or is too large for a panel.
    """
    try:
        content = read_at_most(path, LARGEST_BYTES)
    except OSError as error:
        raise DocumentError(
            Fault(what=f"cannot read the file ({error.strerror or error})"), where=str(path)
        ) from error
    if content is None:
        accepted = f"at most {LARGEST_BYTES / 1e6:.0f} MB"
        raise DocumentError(
            Fault(what="the file is too large for a panel", accepted=accepted), where=str(path)
        )
    return content


def text_of_panel_bytes(content: bytes, *, where: str) -> str:
    """Return the text in the content of a file.

    Raises
    ------
    DocumentError
        If it is not UTF-8.
    """
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise DocumentError(
            Fault(what=f"the file is not UTF-8 text (byte {error.start})", accepted="a panel file"),
            where=where,
        ) from error


def panel_of_bytes(content: bytes, path: Path) -> Panel:
    """Return the panel in the content of a file; fonts named in it are found from the file's folder.

    Raises
    ------
    DocumentError
        If it is not a panel; carries every fault with its path.
    """
    where = str(path)
    panel = parse_panel(text_of_panel_bytes(content, where=where), where=where)
    return with_whole_font_paths(panel, path.parent, where=where)


def bytes_of_panel(panel: Panel, path: Path) -> bytes:
    """Return what a panel's file holds when it is saved there; fonts are named from its folder."""
    return panel_text(with_relative_font_paths(panel, path.parent)).encode("utf-8")


def parse_panel(text: str, *, where: str = "panel") -> Panel:
    """Return the panel in a text.

    Parameters
    ----------
    text : str
        JSON of a panel, of this version or an older one.
    where : str
        Name of the text, for messages.

    Raises
    ------
    DocumentError
        If it is not a panel; carries every fault with its path.
    """
    if text.count(",") > MOST_VALUES:
        raise DocumentError(
            Fault(what="more values than a panel holds", accepted=f"at most {MOST_VALUES:,}"), where=where
        )
    data = _parse_json(text, where)
    _check_head(data, where)
    if data["version"] < VERSION:
        data = migrated(data, where=where)
        text = json.dumps(data)
    if _counted_parts(data) > MOST_PARTS:
        raise DocumentError(
            Fault(what="more parts than a panel holds", accepted=f"at most {MOST_PARTS:,}"), where=where
        )
    try:
        # from the text, not from `data`: a list is a tuple only in JSON
        return Panel.model_validate_json(text)
    except ValidationError as error:
        raise DocumentError(*_faults(error, data), where=where) from error


def save_panel(panel: Panel, path: Path) -> None:
    """Put a panel into its file in one step; a kill at any instant leaves the old or the new file whole.

    Raises
    ------
    OutputError
        If the place does not take it; the old file is untouched.
    """
    write_whole(path, bytes_of_panel(panel, path))


def panel_text(panel: Panel) -> str:
    """Return the text of a panel file.

    Every value is written, defaults too: a default that changes in a later version must not change a panel
    that was saved before.
    """
    return panel.model_dump_json(indent=2) + "\n"


def _parse_json(text: str, where: str) -> dict[str, Any]:
    try:
        data = json.loads(text, object_pairs_hook=_without_doubles)
    except json.JSONDecodeError as error:
        place = f"line {error.lineno} column {error.colno}"
        raise DocumentError(Fault(what=f"not JSON ({error.msg}, {place})"), where=where) from error
    except RecursionError as error:
        raise DocumentError(Fault(what="nested too deep for a panel"), where=where) from error
    except ValueError as error:
        raise DocumentError(Fault(what=str(error)), where=where) from error
    if not isinstance(data, dict):
        raise DocumentError(
            Fault(what="not a panel", found=type(data).__name__, accepted="a JSON object"), where=where
        )
    return data


def _counted_parts(data: Any) -> int:
    """Return the number of objects and items in JSON data; readings and fits have limits of their own."""
    count, waiting = 0, [data]
    while waiting and count <= MOST_PARTS:
        here = waiting.pop()
        if isinstance(here, dict):
            count += 1
            waiting += [value for key, value in here.items() if key not in ("readings", "fit")]
        elif isinstance(here, list):
            count += len(here)
            waiting += here[:MOST_PARTS]
    return count


def _without_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        doubled = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"the key {doubled!r} stands twice in one object; which one counts?")
    return found


def _check_head(data: dict[str, Any], where: str) -> None:
    if data.get("format") != FORMAT:
        raise DocumentError(
            Fault(what="not a panel file", where="format", found=data.get("format"), accepted=f'"{FORMAT}"'),
            where=where,
        )
    version = data.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise DocumentError(
            Fault(
                what="a panel has a version number",
                where="version",
                found=version,
                accepted=f"1 to {VERSION}",
            ),
            where=where,
        )
    if version > VERSION:
        raise DocumentError(
            Fault(
                what="the panel was saved by a newer Needlewright; this one would lose what it does not know",
                where="version",
                found=version,
                accepted=f"up to {VERSION}: update Needlewright",
            ),
            where=where,
        )


def _faults(error: ValidationError, data: dict[str, Any]) -> list[Fault]:
    found = [
        Fault(
            what=plain_message(detail["type"], detail["msg"], detail.get("ctx")),
            where=_path(detail["loc"], data),
            found=None if isinstance(detail["input"], dict | list) else detail["input"],
        )
        for detail in error.errors(include_url=False)
    ]
    if len(found) > MOST_FAULTS:
        left = len(found) - MOST_FAULTS
        found = [*found[:MOST_FAULTS], Fault(what=f"and {left} more")]
    return found


def _path(steps: tuple[int | str, ...], data: Any) -> str:
    """Return the path of a fault in the file, without the tags that only the library's unions know."""
    path: list[str] = []
    here: Any = data
    for step in steps:
        if isinstance(here, dict) and isinstance(step, str) and step not in here and step == here.get("kind"):
            continue
        # a key is somebody's text and may hold anything; a path stays on its line
        path.append(str(step) if str(step).isprintable() else quoted(str(step)))
        if isinstance(here, dict):
            here = here.get(str(step))
        elif isinstance(here, list) and isinstance(step, int) and step < len(here):
            here = here[step]
        else:
            here = None
    return ".".join(path)
