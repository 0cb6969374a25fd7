"""Putting results on disk: whole or not at all, and never over a user's file unasked."""

from __future__ import annotations

import contextlib
import errno
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from gaugecore.errors import OutputError


def read_at_most(path: Path, most_bytes: int) -> bytes | None:
    """Return what a file holds, None when that is more than so many bytes.

    Raises
    ------
    OSError
        If it cannot be read; whoever asked knows what the file was to be, and says so.

    Notes
    -----
    A size that is known is looked at first, so that a large file costs nothing. A pipe and a device have
    none, and go on for as long as they like.
    """
    if path.stat().st_size > most_bytes:
        return None
    with path.open("rb") as file:
        content = file.read(most_bytes + 1)
    return content if len(content) <= most_bytes else None


def write_whole(path: Path, content: bytes) -> None:
    """Put a file in place in one step: after a kill at any instant the old or the new one is there, whole.

    Parameters
    ----------
    path : Path
        Where it goes; an existing file is replaced and keeps its permissions.
    content : bytes
        All of it.

    Raises
    ------
    OutputError
        If the folder or the disk does not take it; the old file is untouched.

    Notes
    -----
    The new content is written beside its place and forced to disk before the rename, since a rename may
    reach the disk ahead of the data it names.
    """
    try:
        target = _target(path)
        _stage(target, content).replace(target)
    except OSError as error:
        raise _refused(path, error) from error


def is_there(path: Path) -> bool:
    """Return whether there is anything at a place where something is to go.

    Raises
    ------
    OutputError
        If that cannot even be looked at: a name that is too long, a folder that is closed.
    """
    try:
        return path.exists()
    except OSError as error:
        raise _refused(path, error) from error


def _target(path: Path) -> Path:
    """Return what a path leads to, so that a link stays a link and its target is replaced."""
    try:
        return path.resolve()
    except RuntimeError as error:  # what Python before 3.13 says of links that lead round in a circle
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP)) from error


def _stage(target: Path, content: bytes) -> Path:
    """Put content on the disk beside its place, under another name, with the permissions it will have."""
    # a file system takes 255 bytes, and a character is up to four of them
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:40]}.", suffix=".part")
    staged = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if target.is_dir():
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
        staged.chmod(target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_umask())
    except BaseException:
        with contextlib.suppress(OSError):
            staged.unlink()
        raise
    return staged


def _refused(path: Path, error: OSError) -> OutputError:
    return OutputError(
        f"cannot write the file ({error.strerror or error})",
        where=str(path),
        accepted="a place that exists, is writable and has room",
    )


def write_outputs(folder: Path, files: Mapping[str, bytes], *, force: bool = False) -> list[Path]:
    """Put a set of results into a folder, which is made if need be; all of them or none.

    Parameters
    ----------
    folder : Path
        Where they go.
    files : mapping of str to bytes
        Content by file name, without any folder part.
    force : bool
        Whether files that are there already may be replaced.

    Returns
    -------
    list of Path
        The files written, in the order given.

    Raises
    ------
    OutputError
        If one is there already and ``force`` is false, if a name would leave the folder, or if the disk
        refuses.
    """
    for name in files:
        if Path(name).name != name or name in ("", ".", ".."):
            raise OutputError("a file name must not lead out of its folder", found=name)
    return write_files({folder / name: content for name, content in files.items()}, force=force)


def write_files(files: Mapping[Path, bytes], *, force: bool = False) -> list[Path]:
    """Put a set of results where each belongs, in folders that are made if need be; all of them or none.

    Parameters
    ----------
    files : mapping of Path to bytes
        Content by place.
    force : bool
        Whether files that are there already may be replaced.

    Returns
    -------
    list of Path
        The files written, in the order given.

    Raises
    ------
    OutputError
        If one is there already and ``force`` is false, or if the disk refuses.
    """
    for path in files:
        if not path.name.isprintable():
            # a null character is no name at all, and others only look like one
            raise OutputError("a file name must be made of printable characters", found=path.name)
        if not force and is_there(path):
            raise OutputError(
                "the file is there already", where=str(path), accepted="another folder, or --force to replace"
            )
    for folder in dict.fromkeys(path.parent for path in files):
        _make_folder(folder)
    _write_all(files)
    return list(files)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"cannot make the folder ({error.strerror or error})",
            where=str(folder),
            accepted="a place that exists and is writable",
        ) from error


def _write_all(files: Mapping[Path, bytes]) -> None:
    """Put files in place, all of them or none; those that were there before come back when one fails."""
    staged: dict[Path, Path] = {}
    before: dict[Path, bytes | None] = {}
    path = Path()
    try:
        # everything is on the disk before the first of the user's files is touched
        for path, content in files.items():
            staged[path] = _stage(_target(path), content)
        for path, ready in staged.items():
            before[path] = path.read_bytes() if path.exists() else None
            ready.replace(_target(path))
    except OSError as error:
        for done, content_before in before.items():
            if content_before is None:
                done.unlink(missing_ok=True)
            else:
                write_whole(done, content_before)
        raise _refused(path, error) from error
    finally:
        for ready in staged.values():
            with contextlib.suppress(OSError):
                ready.unlink(missing_ok=True)


def _umask() -> int:
    # the mask can only be read by setting it
    mask = os.umask(0)
    os.umask(mask)
    return mask
