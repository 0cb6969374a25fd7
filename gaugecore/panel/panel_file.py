"""One panel file between two programs: what another one saved meanwhile is never written over unseen.

A program that opens a panel remembers what the file held. As it saves, the file must still hold that, else
the save is refused in a sentence and both are kept: the file, and the panel in the program's hands. The look
and the write are one step under a lock, so that of two programs saving at once exactly one comes through.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from gaugecore.errors import DocumentError, Fault, OutputError
from gaugecore.files import write_whole
from gaugecore.panel.document import Panel, Session
from gaugecore.panel.edit import with_value
from gaugecore.panel.store import bytes_of_panel, panel_of_bytes, read_panel_bytes

#: A save takes milliseconds; who waits longer than this waits for a program that hangs.
WAIT_S: Final = 10.0


class ChangedMeanwhileError(OutputError):
    """The file is no longer what was opened; it was left alone, and so was the panel."""


@dataclass(frozen=True, slots=True)
class PanelFile:
    """A panel and what its file held when it was opened or saved.

    Attributes
    ----------
    path : Path
        The file.
    panel : Panel
        The panel in it.
    fingerprint : str
        Of the file's content; empty: there was no file.
    """

    path: Path
    panel: Panel
    fingerprint: str

    @property
    def is_current(self) -> bool:
        """Return whether the file still holds what it held; for a warning before any save."""
        return _fingerprint(self.path) == self.fingerprint


def open_panel_file(path: Path) -> PanelFile:
    """Return the panel in a file, with what is needed to save over it safely.

    Raises
    ------
    DocumentError
        As `load_panel`.
    """
    content = read_panel_bytes(path)
    return PanelFile(path, panel_of_bytes(content, path), _digest(content))


def save_over(opened: PanelFile, panel: Panel) -> PanelFile:
    """Put a panel into the file that was opened, unless another program changed it since.

    Returns
    -------
    PanelFile
        To save over next time.

    Raises
    ------
    ChangedMeanwhileError
        If the file no longer holds what was opened; it is untouched.
    OutputError
        If the place does not take it; the old file is untouched.
    """
    with _alone_with(opened.path):
        if not opened.is_current:
            raise ChangedMeanwhileError(
                "another program changed the file after it was opened here; it was left as it is",
                where=str(opened.path),
                accepted="another file name, or opening the file again",
            )
        return _saved(opened.path, panel)


def save_anyway(path: Path, panel: Panel) -> PanelFile:
    """Put a panel into a file whatever it holds, as for `save as` and after the user said so.

    Raises
    ------
    OutputError
        If the place does not take it; the old file is untouched.
    """
    with _alone_with(path):
        return _saved(path, panel)


def change_panel(path: Path, change: Callable[[Panel], Panel]) -> PanelFile:
    """Change what a file holds now, with nobody in between: for an addition that suits any state of it.

    Parameters
    ----------
    path : Path
        The file.
    change : callable
        From the panel as it is to the panel as it shall be; what it raises leaves the file as it is.

    Raises
    ------
    DocumentError
        If the file is no panel.
    OutputError
        If the place does not take it; the old file is untouched.
    """
    with _alone_with(path):
        return _saved(path, change(open_panel_file(path).panel))


def add_session(path: Path, instrument_id: str, session: Session) -> PanelFile:
    """Add a sitting at the bench to an instrument of the panel that the file holds now.

    Raises
    ------
    DocumentError
        If the file is no panel, or the instrument is gone from it or takes no more sessions.
    OutputError
        If the place does not take it; the old file is untouched.
    """

    def added(panel: Panel) -> Panel:
        instrument = panel.instrument(instrument_id)
        if instrument is None:
            raise DocumentError(
                Fault(what="the instrument is gone from the panel", found=instrument_id), where=str(path)
            )
        sessions = (*instrument.calibration.sessions, session)
        return with_value(panel, ("instruments", instrument_id, "calibration", "sessions"), sessions)

    return change_panel(path, added)


def _saved(path: Path, panel: Panel) -> PanelFile:
    content = bytes_of_panel(panel, path)
    write_whole(path, content)
    return PanelFile(path, panel, _digest(content))


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _fingerprint(path: Path) -> str:
    try:
        return _digest(read_panel_bytes(path))
    except DocumentError:
        return "" if not path.exists() else "unreadable"


@contextlib.contextmanager
def _alone_with(path: Path) -> Iterator[None]:
    """Keep other programs of this user from saving the same file for a moment.

    The lock lies in the user's own folder, not beside the panel: a folder of panels holds panels. Where there
    is no such folder to write to, the comparison alone has to do.
    """
    from filelock import FileLock, Timeout
    from platformdirs import user_state_path

    try:
        folder = user_state_path("needlewright", ensure_exists=True) / "locks"
        folder.mkdir(exist_ok=True)
        name = _digest(os.fsencode(os.path.realpath(path)))[:32]
        lock = FileLock(folder / f"{name}.lock", timeout=WAIT_S)
        lock.acquire()
    except Timeout as error:
        raise OutputError(
            f"another program has been saving the file for {WAIT_S:g} s",
            where=str(path),
            accepted="saving again when it is done, or another file name",
        ) from error
    except OSError:
        yield
        return
    try:
        yield
    finally:
        lock.release()
