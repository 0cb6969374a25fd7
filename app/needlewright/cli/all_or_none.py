"""Several files of one verb: all of them are as it leaves them, or all as they were."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

from gaugecore.errors import OutputError
from gaugecore.files import write_whole


@contextlib.contextmanager
def all_or_none(*paths: Path) -> Iterator[None]:
    """Put files back as they were when what is done inside does not come through.

    Parameters
    ----------
    paths : tuple of Path
        What is written inside, save the last write of all: that one comes through or changes nothing.

    Raises
    ------
    OutputError
        If a file that is there cannot be read, so that it could not be put back.
    """
    before = {path: _content(path) for path in paths}
    try:
        yield
    except BaseException:
        for path, content in before.items():
            _put_back(path, content)
        raise


def _content(path: Path) -> bytes | None:
    try:
        return path.read_bytes() if path.is_file() else None
    except OSError as error:
        raise OutputError(
            f"cannot read the file that is there ({error.strerror or error})", where=str(path)
        ) from error


def _put_back(path: Path, content: bytes | None) -> None:
    # the reason that stopped the verb is what the user must read, so trouble here is not raised over it
    with contextlib.suppress(OSError, OutputError):
        if content is None and path.is_file():
            path.unlink()
        elif content is not None and _content(path) != content:
            write_whole(path, content)
