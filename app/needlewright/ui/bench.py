"""The bench: one board and one calibration session, driven from the window without holding it up.

Everything that waits for the board runs on one thread of its own, in the order asked for, and comes back
as plain values by signal. `stop` does not wait in that queue: it bars every further movement of all that was
asked for before it, at once, and relaxes the needle. What was asked for is known by an event: all requests
between two stops share one, the stop sets it and hangs up a new one, so that nothing has to be taken back.
"""

from __future__ import annotations

import contextlib
import queue
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from gaugecore.board.range_finder import find_range
from gaugecore.board.session import Session, Setting, take_readings
from gaugecore.calibration.readings import Reading
from gaugecore.errors import BoardError, NeedlewrightError
from gaugecore.panel.document import Instrument
from gaugecore.panel.needle_of import check_kind
from needlewright.ui.barred_board import BarredBoard, relax_at_once


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """What the window needs to know of a board.

    Attributes
    ----------
    name : str
        As the board calls itself.
    virtual : bool
        Whether it has a simulated eye.
    stored_range : tuple of float
        Limits stored in the board, narrowed to what the movement may be sent.
    """

    name: str
    virtual: bool
    stored_range: tuple[float, float]


class Bench(QObject):
    """Asks the board for things, and says what came of them.

    Signals
    -------
    joined : Joined
        The board is there.
    parted
        It is not any more.
    state_changed : SessionState
        The session has another state.
    refused : NeedlewrightError
        Something could not be done, and why.
    broke : Exception
        Something failed in a way nobody meant.
    busy_changed : bool
        Whether the board is at work for us.
    """

    joined = Signal(object)
    parted = Signal()
    state_changed = Signal(object)
    refused = Signal(object)
    broke = Signal(object)
    busy_changed = Signal(bool)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs: queue.SimpleQueue[Callable[[], None] | None] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None
        self._relaxing: list[threading.Thread] = []
        self._board: BarredBoard | None = None
        self._session: Session | None = None
        self._stopped = threading.Event()  # of what is asked for now; the window's thread hangs up new ones
        self._stopped_now = self._stopped  # of what the bench's thread is at

    @property
    def is_joined(self) -> bool:
        """Return whether there is a board."""
        return self._session is not None

    def join(self, url: str, instrument: Instrument, setting: Setting, earlier: Sequence[Reading]) -> None:
        """Open a port and begin a session, going on with earlier readings if there are any."""
        self._ask(lambda: self._open(url, instrument, setting, earlier))

    def part(self) -> None:
        """Relax the needle and let go of the port."""
        self._ask(self._close, moves=False)

    def seek(self, command: float) -> None:
        """Move while the range is not known."""
        self._ask(lambda: self._now().seek(command))

    def set_range(self, low: float, high: float, earlier: Sequence[Reading] = ()) -> None:
        """Store the safe range; plan the targets."""
        self._ask(lambda: self._set_range(low, high, earlier))

    def find_range(self, arc_deg: tuple[float, float]) -> None:
        """Let the simulated eye find the safe range."""
        self._ask(lambda: find_range(self._now(), self._eye, arc_deg=arc_deg))

    def approach(self) -> None:
        """Bring the needle to the target in hand."""
        self._ask(lambda: self._now().approach())

    def jog(self, amount: float) -> None:
        """Shift the needle by a little."""
        self._ask(lambda: self._now().jog(amount))

    def record(self, angle_deg: float, *, go_on: bool) -> None:
        """Take the reading, and go to the next target if asked to."""
        self._ask(lambda: self._record(angle_deg, go_on), moves=False)

    def read_with_eye(self) -> None:
        """Take all the readings that are left with the simulated eye."""
        self._ask(lambda: take_readings(self._now(), self._eye))

    def skip(self) -> None:
        """Leave out the target in hand."""
        self._ask(lambda: self._now().skip(), moves=False)

    def undo(self) -> None:
        """Take back the last reading."""
        self._ask(lambda: self._now().undo(), moves=False)

    def exclude(self, row: int, reason: str) -> None:
        """Leave a row out of the fit, or count it again."""
        self._ask(lambda: self._now().exclude(row, reason), moves=False)

    def stand_by(self, row: int, reason: str) -> None:
        """Believe a row although the fit doubts it, or let the fit doubt it again."""
        self._ask(lambda: self._now().stand_by(row, reason), moves=False)

    def stop(self) -> None:
        """Bar every movement asked for so far, at once, and relax the needle."""
        self._stopped.set()
        self._stopped = threading.Event()
        board = self._board
        if board is None:
            return
        # on a thread of its own: the bench's may be waiting for this very movement to end
        self._relaxing = [thread for thread in self._relaxing if thread.is_alive()]
        self._relaxing.append(threading.Thread(target=relax_at_once, args=(board,), name="relaxing"))
        self._relaxing[-1].start()
        self._ask(self._let_go, moves=False)

    def shut_down(self) -> None:
        """Stop, let go of the port, end the thread."""
        if self._thread is None:
            return
        self.stop()
        self._jobs.put(None)
        self._thread.join()
        self._thread = None
        for thread in self._relaxing:
            thread.join()

    def _ask(self, job: Callable[[], object], *, moves: bool = True) -> None:
        """Queue a job; one that is about a movement is passed over when a stop comes first."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._serve, name="bench")
            self._thread.start()
        stopped = self._stopped
        self._jobs.put(lambda: self._do(job, stopped, moves))

    def _serve(self) -> None:
        while (job := self._jobs.get()) is not None:
            job()
        with contextlib.suppress(NeedlewrightError):
            self._close()

    def _do(self, job: Callable[[], object], stopped: threading.Event, moves: bool) -> None:
        if moves and stopped.is_set():
            return
        self.busy_changed.emit(True)
        self._stopped_now = stopped
        try:
            if self._board is not None:
                self._board.barred = stopped
            job()
        except NeedlewrightError as error:
            self.refused.emit(error)
        except Exception as error:  # whatever it is, the window has to hear of it
            self.broke.emit(error)
        finally:
            self.busy_changed.emit(False)

    def _open(self, url: str, instrument: Instrument, setting: Setting, earlier: Sequence[Reading]) -> None:
        self._close()
        board = BarredBoard.open(url)
        board.barred = self._stopped_now  # a stop while the port was opening holds too
        try:
            check_kind(instrument, board.limits(setting.channel).kind, channel=setting.channel)
            session = Session(board, setting, on_change=self.state_changed.emit)
            session.__enter__()
        except NeedlewrightError:
            board.close()
            raise
        self._board, self._session = board, session
        stored = session.stored_range()
        self.joined.emit(
            Joined(name=board.identity.name, virtual=board.identity.virtual, stored_range=stored)
        )
        if earlier:
            self._set_range(*stored, earlier)
        else:
            self.state_changed.emit(session.state)

    def _set_range(self, low: float, high: float, earlier: Sequence[Reading]) -> None:
        self._now().set_range(low, high, earlier)

    def _record(self, angle_deg: float, go_on: bool) -> None:
        session = self._now()
        session.record(angle_deg)
        if go_on and session.state.target is not None:
            session.approach()

    def _close(self) -> None:
        session, board = self._session, self._board
        self._session = self._board = None
        try:
            if session is not None:
                session.__exit__()
        finally:
            if board is not None:
                board.close()
                self.parted.emit()

    def _now(self) -> Session:
        if self._session is None:
            raise BoardError(self.tr("there is no board connected"), accepted=self.tr("a port, chosen above"))
        return self._session

    def _let_go(self) -> None:
        """After a stop: the needle no longer stands where it was put, and must not be read."""
        if self._session is not None:
            with contextlib.suppress(BoardError):
                self._session.relax()

    def _eye(self) -> float:
        session = self._now()
        return session.board.eye_deg(session.setting.channel)
