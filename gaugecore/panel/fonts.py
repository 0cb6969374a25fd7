"""Font files named in a panel: relative to the panel's own folder in the file, whole paths in memory."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from gaugecore.errors import DocumentError, Fault
from gaugecore.panel.document import Panel


def with_whole_font_paths(panel: Panel, folder: Path, *, where: str) -> Panel:
    """Return a panel whose relative font paths are found from a folder.

    Parameters
    ----------
    panel : Panel
        As it stands in the file.
    folder : Path
        The file's own.
    where : str
        Name of the file, for messages.

    Raises
    ------
    DocumentError
        If a relative path leads out of the folder: a panel from somebody else reads nothing of the user's
        unless its whole path is named.
    """
    inside = _real(folder)
    faults = []

    def whole(font_file: str, place: str) -> str:
        if Path(font_file).is_absolute():
            return font_file
        found = _real(inside / font_file)
        if not found.is_relative_to(inside):
            faults.append(
                Fault(
                    what="this font is outside of the panel's folder",
                    where=place,
                    found=font_file,
                    accepted="a path below the panel's folder, or a whole path",
                )
            )
        return str(found)

    changed = _changed(panel, whole)
    if faults:
        raise DocumentError(*faults, where=where)
    return changed


def with_relative_font_paths(panel: Panel, folder: Path) -> Panel:
    """Return a panel whose fonts below a folder are named from there, so that the folder can move."""
    inside = _real(folder)

    def relative(font_file: str, place: str) -> str:
        path = Path(font_file)
        if not path.is_absolute() or not path.is_relative_to(inside):
            return font_file
        return path.relative_to(inside).as_posix()

    return _changed(panel, relative)


def _real(path: Path) -> Path:
    # unlike Path.resolve, this bears links that lead round in a circle; whoever opens one is told
    return Path(os.path.realpath(path))


def _changed(panel: Panel, change: Callable[[str, str], str]) -> Panel:
    """Return a panel with its font paths changed; the panel itself when none is."""
    for number, instrument in enumerate(panel.instruments):
        font_file = instrument.face.font_file
        if not font_file:
            continue
        path = change(font_file, f"instruments.{number}.face.font_file")
        if path != font_file:
            face = instrument.face.model_copy(update={"font_file": path})
            panel = panel.with_instrument(instrument.model_copy(update={"face": face}))
    return panel
