"""What goes beside the exported headers: the sources of the small program, and its settings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from gaugecore.errors import TableError
from gaugecore.firmware.needles import SETTINGS
from gaugecore.panel.program_of import Moved, program_of


@dataclass(frozen=True, slots=True)
class ProgramFiles:
    """The program for some tables.

    Attributes
    ----------
    contents : dict of str to bytes
        What is to be written of it, by file name.
    why_none : str
        Why there is none; empty when there is one. The headers still serve a sketch of the user's own.
    """

    contents: dict[str, bytes]
    why_none: str = ""


def program_files(moved: Sequence[Moved], out: Path, *, force: bool) -> ProgramFiles:
    """Return what is to be written of the firmware beside the headers of some tables.

    A source that is there as it is stays, so that the tables of several dials can share a folder; so does a
    `needles.h`, whatever is asked: it is the user's from the day it is there.

    Parameters
    ----------
    moved : sequence of (Table, movement)
        In any order; the program wants the servos first, and gets them so.
    out : Path
        The folder.
    force : bool
        Whether files that are there already may go.
    """
    servos_first = sorted(moved, key=lambda one: one[0].unit == "steps")
    try:
        program = program_of(servos_first)
    except TableError as refusal:
        headers = "header" if len(moved) == 1 else "headers"
        return ProgramFiles({}, f"no program beside the {headers}: {refusal}")
    return ProgramFiles(
        {
            name: content
            for name, content in program.items()
            if not _stays(out / name, content, is_users=name == SETTINGS, force=force)
        }
    )


def _stays(path: Path, content: bytes, *, is_users: bool, force: bool) -> bool:
    try:
        return path.is_file() and (is_users or (not force and path.read_bytes() == content))
    except OSError:
        return False
