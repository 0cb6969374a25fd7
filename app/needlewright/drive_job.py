"""One drive, from what a user asks to a board that is ready for it: shared by the terminal and the window."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Generic, TypeVar

from gaugecore.board.board import Board
from gaugecore.feed.feed import Feed
from gaugecore.feed.open_feed import Playing, open_feed
from gaugecore.feed.recording import RecordedFeed
from gaugecore.feed.udp import UdpFeed
from gaugecore.panel.document import Panel
from gaugecore.panel.driven_dial import driven_dials
from gaugecore.panel.driver import Driver
from gaugecore.panel.needle_of import port_for
from gaugecore.panel.silence import Silence, store_silence

_SomeBoard = TypeVar("_SomeBoard", bound=Board)


@dataclass(frozen=True, slots=True, kw_only=True)
class DriveJob:
    """What to drive, from where, and how.

    Attributes
    ----------
    panel : Panel
    port, feed : str
    playing : Playing
        How a recording is played.
    record : Path or None
        A file for what comes in.
    replace : bool
        Whether it may replace one that is there.
    set_limits : bool
        Whether the board's limits are set to what each dial may be sent; those of a virtual board always are.
    clamp : bool
        Whether needles stop at the ends of the arc they can be sent to.
    silence : Silence
        What is to be stored in the board about the loss of traffic.
    rate_hz : float
        Most rounds a second.
    """

    panel: Panel
    port: str
    feed: str
    playing: Playing = field(default_factory=Playing)
    record: Path | None = None
    replace: bool = False
    set_limits: bool = False
    clamp: bool = False
    silence: Silence = field(default_factory=Silence)
    rate_hz: float = 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class UnderWay(Generic[_SomeBoard]):
    """A drive that can begin.

    Attributes
    ----------
    driver : Driver
        To be run.
    board : Board
        Connected and checked.
    feed : Feed
        Where the values come from; a `RecordedFeed` when they are written down.
    waiting : tuple of str
        Ids of the dials that are left out for want of a fit.
    """

    driver: Driver
    board: _SomeBoard
    feed: Feed
    waiting: tuple[str, ...]

    @property
    def recording_failed(self) -> str:
        """Return why the recording ended early; empty when it did not, or there is none."""
        failure = self.feed.failure if isinstance(self.feed, RecordedFeed) else None
        return "" if failure is None else str(failure)


@contextlib.contextmanager
def under_way(
    job: DriveJob,
    open_board: Callable[[str], _SomeBoard],
    *,
    on_feed: Callable[[Feed], None] = lambda _: None,
) -> Iterator[UnderWay[_SomeBoard]]:
    """Open feed and board, and check one against the other; let go of both in the end.

    Parameters
    ----------
    job : DriveJob
        What to do.
    open_board : callable
        Opens the board on a port.
    on_feed : callable
        Told of the feed as soon as it listens.

    Raises
    ------
    InputError
        If panel, feed and board do not go together.
    OutputError
        If the recording cannot be made.
    BoardError
        If there is no board.
    """
    dials, waiting = driven_dials(job.panel, clamp=job.clamp)
    feed = open_feed(job.feed, [dial.listens_to for dial in dials], job.playing)
    try:
        on_feed(feed)
        with open_board(port_for(job.port, job.panel)) as board:
            driver = Driver(board, dials, feed, rate_hz=job.rate_hz)
            driver.check_board(set_limits=job.set_limits or job.port.startswith("virtual:"))
            store_silence(driver, job.silence)
            if job.record is not None:
                # last of all: what cannot be driven must not cost the file that is to be replaced
                names = [dial.name for dial in dials]
                driver.feed = feed = RecordedFeed(feed, job.record, names, replace=job.replace)
            yield UnderWay(driver=driver, board=board, feed=feed, waiting=waiting)
    finally:
        feed.close()


def heard_on(feed: Feed, url: str) -> str:
    """Return where a feed's values come from, in words; a port that was left to chance is known by then."""
    return f"on udp://{feed.host}:{feed.port}" if isinstance(feed, UdpFeed) else f"from {url}"
