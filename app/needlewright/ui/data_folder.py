"""Where the program keeps what is not in the user's own files: changes put aside, readings, locks."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QStandardPaths


def data_folder(name: str) -> Path | None:
    """Return a folder of the program's own, made if need be; None when there is no place to write to."""
    base = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation)
    folder = Path(base) / name
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    return folder


def data_place() -> str:
    """Return where such folders are, for messages."""
    return QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation)
