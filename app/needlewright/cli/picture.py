"""Pictures that a verb is asked for: the kind is told by the file's ending."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, cast, get_args

from gaugecore.errors import InputError

PictureFormat = Literal["png", "pdf", "svg"]
FORMATS: tuple[str, ...] = get_args(PictureFormat)


def picture_format(path: Path) -> PictureFormat:
    """Return the kind of picture that a file's name asks for.

    Raises
    ------
    InputError
        If it is none of ours.
    """
    ending = path.suffix.lower().lstrip(".")
    if ending not in FORMATS:
        raise InputError(
            "the picture's kind is told by its ending",
            where="--plot",
            found=path.name,
            accepted=", ".join(f".{name}" for name in FORMATS),
        )
    return cast(PictureFormat, ending)
