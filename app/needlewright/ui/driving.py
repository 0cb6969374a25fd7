"""Driving from the window: a feed moves the needles of a board, on a thread of its own.

What there is to show comes home as plain values by signal. `park` ends a drive gently; `stop` bars every
further movement and relaxes the needles at once.
"""

from __future__ import annotations

import contextlib
import dataclasses
import threading
import time
from dataclasses import dataclass

from PySide6.QtCore import QObject, QTimer, Signal

from gaugecore.board.link import Counters
from gaugecore.errors import NeedlewrightError
from gaugecore.feed.feed import FeedCounters
from gaugecore.panel.driver import DriveState
from gaugecore.panel.silence import Kept, kept_in
from needlewright.drive_job import DriveJob, UnderWay, heard_on, under_way
from needlewright.ui.barred_board import BarredBoard, Stopped, relax_at_once
from needlewright.ui.bench import HURRY_S, LEAVES_IN_S, SHOWN_EVERY_MS

#: Shown so often; a screen takes no more, and the driver's rounds are not held up.
_SHOWN_EVERY_S = 1.0 / 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DriveShown:
    """A look at a drive.

    Attributes
    ----------
    state : DriveState
    feed : FeedCounters
    line : Counters
    recording_failed : str
        Why the recording ended early; empty when it did not.
    kept : Kept or None
        What the board does when the traffic stops.
    """

    state: DriveState
    feed: FeedCounters
    line: Counters
    recording_failed: str = ""
    kept: Kept | None = None


class Driving(QObject):
    """Runs one drive at a time.

    Signals
    -------
    begun : str
        It drives; which board, which dials, what is left out.
    shown : DriveShown
        How it goes.
    ended
        It drives no longer.
    refused : NeedlewrightError
        Something could not be done, and why.
    broke : Exception
        Something failed in a way nobody meant.
    trouble_changed : str
        Why the board is out of reach, empty when it is back.

    Attributes
    ----------
    driven : tuple of str
        Ids of the instruments that are driven, those with a fit; of none while no drive is under way.
    """

    begun = Signal(str)
    shown = Signal(object)
    ended = Signal()
    refused = Signal(object)
    broke = Signal(object)
    trouble_changed = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._thread: threading.Thread | None = None
        self._relaxing: threading.Thread | None = None
        self._board: BarredBoard | None = None
        self._stop = threading.Event()
        self._barred = False
        self._shown_s = 0.0
        self._trouble = ""
        self._leaving = False
        self.driven: tuple[str, ...] = ()
        self._watch = QTimer(self)
        self._watch.setInterval(SHOWN_EVERY_MS)
        self._watch.timeout.connect(self._show_trouble)
        self._watch.start()

    @property
    def is_on(self) -> bool:
        """Return whether a drive is under way."""
        return self._thread is not None and self._thread.is_alive()

    @property
    def is_ending(self) -> bool:
        """Return whether the drive was told to end."""
        return self._stop.is_set()

    def start(self, drive: DriveJob) -> None:
        """Begin, unless a drive is under way."""
        if self.is_on:
            return
        self._stop.clear()
        self._barred = False
        self._trouble = ""
        self.driven = tuple(one.id for one in drive.panel.instruments if one.calibration.fit is not None)
        self._thread = threading.Thread(target=self._run, args=(drive,), name="driving", daemon=True)
        self._thread.start()

    def park(self) -> None:
        """End the drive: needles go home, then relax."""
        self._stop.set()

    def stop(self) -> None:
        """Bar all movement and relax the needles, at once."""
        self._barred = True
        self._stop.set()
        board = self._board
        if board is None:
            return
        board.barred.set()
        # on a thread of its own: the window must not wait for the line
        self._relaxing = threading.Thread(target=relax_at_once, args=(board,), name="relaxing", daemon=True)
        self._relaxing.start()

    def shut_down(self) -> None:
        """Stop, and wait until the board is let go, but not for one that is out of reach."""
        self._watch.stop()
        self._leaving = True
        board = self._board
        if board is not None:
            board.link.hurry(HURRY_S)
        if self.is_on:
            self.stop()
        until_s = time.monotonic() + LEAVES_IN_S
        for thread in (self._thread, self._relaxing):
            if thread is not None:
                thread.join(max(0.0, until_s - time.monotonic()))

    def _show_trouble(self) -> None:
        board = self._board
        trouble = board.link.trouble if board is not None else ""
        if board is not None and trouble != self._trouble:
            self._trouble = trouble
            self.trouble_changed.emit(trouble)

    def _run(self, drive: DriveJob) -> None:
        with contextlib.suppress(RuntimeError):  # nobody is left to hear: the window did not wait
            self._run_heard(drive)

    def _run_heard(self, drive: DriveJob) -> None:
        try:
            self._drive(drive)
        except Stopped:
            pass  # that was the wish
        except NeedlewrightError as error:
            self.refused.emit(error)
        except Exception as error:  # whatever it is, the window has to hear of it
            self.broke.emit(error)
        finally:
            self._board, self.driven = None, ()
            self.ended.emit()

    def _drive(self, job: DriveJob) -> None:
        with under_way(job, BarredBoard.open) as drive:
            self._board = drive.board
            if self._barred:  # stopped while the port was opening
                return
            ids = [dial.id for dial in drive.driver.dials]
            self.begun.emit(
                _in_words(drive.board.identity.name, heard_on(drive.feed, job.feed), ids, drive.waiting)
            )
            kept = kept_in(drive.driver)
            drive.driver.run(self._stop, on_round=lambda: self._show(drive, kept))

    def _show(self, drive: UnderWay[BarredBoard], kept: Kept) -> None:
        if time.monotonic() - self._shown_s < _SHOWN_EVERY_S:
            return
        self._shown_s = time.monotonic()
        self.shown.emit(
            DriveShown(
                state=drive.driver.state(),
                feed=dataclasses.replace(drive.feed.counters),
                line=dataclasses.replace(drive.board.link.counters),
                recording_failed=drive.recording_failed,
                kept=kept,
            )
        )


def _in_words(board: str, feed: str, ids: list[str], waiting: tuple[str, ...]) -> str:
    left_out = f" Left out, not calibrated yet: {', '.join(waiting)}." if waiting else ""
    return f"Driving {', '.join(ids)} on {board}, values {feed}.{left_out}"
