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
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QObject, QTimer, Signal

from gaugecore.board.range_finder import find_range
from gaugecore.board.session import Doing, Session, Setting, take_readings
from gaugecore.calibration.readings import Direction, Reading
from gaugecore.errors import BoardError, NeedlewrightError
from gaugecore.panel.document import Instrument
from gaugecore.panel.needle_of import check_kind
from needlewright.ui.barred_board import BarredBoard, Stopped, relax_at_once

#: While nothing is asked of it, the board is looked at so often, and the line so often whether it is there.
_LOOKS_EVERY_S, SHOWN_EVERY_MS = 0.5, 250
#: Whoever closes the window waits no longer than this for a board that is out of reach; it relaxes by itself.
HURRY_S, LEAVES_IN_S = 1.0, 2.0
#: A walk to a far command: so far at once, in command units, and so often, that there is time for a stop.
_PACE, _PACE_S = 10.0, 0.1


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
    worked
        Something the user asked for was done.
    stopped
        The needle was stopped, with a board connected.
    trouble_changed : str
        Why the board is out of reach, empty when it is back; also while nothing is asked of it.
    """

    joined = Signal(object)
    parted = Signal()
    state_changed = Signal(object)
    refused = Signal(object)
    broke = Signal(object)
    busy_changed = Signal(bool)
    worked = Signal()
    stopped = Signal()
    trouble_changed = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs: queue.SimpleQueue[Callable[[], None] | None] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None
        self._relaxing: list[threading.Thread] = []
        self._board: BarredBoard | None = None
        self._session: Session | None = None
        self._stopped = threading.Event()  # of what is asked for now; the window's thread hangs up new ones
        self._stopped_now = self._stopped  # of what the bench's thread is at
        self._leaving = False
        self._upsets = (0, 0)
        self._trouble = ""
        self._watch = QTimer(self)
        self._watch.setInterval(SHOWN_EVERY_MS)
        self._watch.timeout.connect(self._show_trouble)
        self._watch.start()

    @property
    def is_joined(self) -> bool:
        """Return whether there is a board."""
        return self._session is not None

    def join(self, url: str, instrument: Instrument, setting: Setting, earlier: Sequence[Reading]) -> None:
        """Open a port and begin a session, going on with earlier readings if there are any."""
        self._ask(lambda: self._open(url, instrument, setting, earlier))

    def part(self) -> None:
        """Relax the needle and let go of the port."""
        self._ask(self._close, moves=False, quiet=True)

    def seek(self, command: float) -> None:
        """Move while the range is not known."""
        self._ask(lambda: self._now().seek(command))

    def walk(self, command: float) -> None:
        """Go to a command in small steps while the range is not known; a stop ends it between any two."""
        self._ask(lambda: self._walk(command))

    def set_range(self, low: float, high: float, earlier: Sequence[Reading] = ()) -> None:
        """Store the safe range; plan the targets."""
        self._ask(lambda: self._set_range(low, high, earlier))

    def find_range(self, arc_deg: tuple[float, float]) -> None:
        """Let the simulated eye find the safe range."""
        self._ask(lambda: find_range(self._now(), self._eye, arc_deg=arc_deg))

    def approach(self) -> None:
        """Bring the needle to the target in hand."""
        self._ask(lambda: self._now().approach())

    def jog(self, amount: float, side: Direction | None = None) -> None:
        """Shift the needle by a little, arriving from a side; None: from that of the target."""
        self._ask(lambda: self._now().jog(amount, side))

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
        self._relaxing.append(
            threading.Thread(target=relax_at_once, args=(board,), name="relaxing", daemon=True)
        )
        self._relaxing[-1].start()
        self._ask(self._let_go, moves=False, quiet=True)
        self.stopped.emit()

    def shut_down(self) -> None:
        """Stop, let go of the port, end the thread; a board that is out of reach is not waited for."""
        self._watch.stop()
        if self._thread is None:
            return
        self._leaving = True
        board = self._board
        if board is not None:
            board.link.hurry(HURRY_S)
        self.stop()
        self._jobs.put(None)
        until_s = time.monotonic() + LEAVES_IN_S
        for thread in (self._thread, *self._relaxing):
            thread.join(max(0.0, until_s - time.monotonic()))
        # what still runs is given up: it touches nothing but the link, and ends with it or with the program
        self._thread = None

    def _ask(self, job: Callable[[], object], *, moves: bool = True, quiet: bool = False) -> None:
        """Queue a job; one that is about a movement is passed over when a stop comes first."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._serve, name="bench", daemon=True)
            self._thread.start()
        stopped = self._stopped
        self._jobs.put(lambda: self._do(job, stopped, moves, quiet))

    def _serve(self) -> None:
        with contextlib.suppress(RuntimeError):  # nobody is left to hear: the window did not wait
            while True:
                try:
                    job = self._jobs.get(timeout=_LOOKS_EVERY_S)
                except queue.Empty:
                    self._look()
                    continue
                if job is None:
                    break
                job()
        with contextlib.suppress(NeedlewrightError, RuntimeError):
            self._close()

    def _do(self, job: Callable[[], object], stopped: threading.Event, moves: bool, quiet: bool) -> None:
        if moves and stopped.is_set():
            return
        self.busy_changed.emit(True)
        self._stopped_now = stopped
        try:
            if self._board is not None:
                self._board.barred = stopped
                self._note_upsets()
            job()
            if not quiet:
                self.worked.emit()
        except NeedlewrightError as error:
            self.refused.emit(error)
        except Exception as error:  # whatever it is, the window has to hear of it
            if not self._leaving:
                self.broke.emit(error)
        finally:
            self._upsets = self._count_upsets()
            self.busy_changed.emit(False)

    def _look(self) -> None:
        """See whether the board is there while nothing is asked of it; a needle it let go of is not read."""
        board = self._board
        if board is None or self._leaving:
            return
        try:
            board.alive()
        except BoardError:
            self._lose_needle()
            return
        self._note_upsets()

    def _note_upsets(self) -> None:
        """Take note of a board that was away or was reset: its watchdog, or the reset, let the needle go."""
        if self._count_upsets() != self._upsets:
            self._upsets = self._count_upsets()
            self._lose_needle()

    def _lose_needle(self) -> None:
        if self._session is not None and self._session.state.doing is Doing.AT_TARGET:
            self._session.lose_needle()

    def _count_upsets(self) -> tuple[int, int]:
        counters = self._board.link.counters if self._board is not None else None
        return (counters.restarts, counters.reconnections) if counters is not None else (0, 0)

    def _show_trouble(self) -> None:
        board = self._board
        trouble = board.link.trouble if board is not None else ""
        if trouble != self._trouble:
            self._trouble = trouble
            self.trouble_changed.emit(trouble)

    def _walk(self, command: float) -> None:
        session = self._now()
        here = session.state.command
        if here is None:
            here = self._first_place()
            session.seek(here)
        session.make_room(command)  # once for the whole walk: a board stores limits only so often
        while abs(command - here) > _PACE:
            if self._stopped_now.wait(_PACE_S):
                raise Stopped(self.tr("stopped, and the needle is relaxed; go on when its sweep is clear"))
            here = session.creep(here + (_PACE if command > here else -_PACE))
        session.seek(command)

    def _first_place(self) -> float:
        """Return where a walk begins when nothing was sent yet: where the board has it, else the middle."""
        session = self._now()
        low, high = session.stored_range()
        status = session.board.status(session.setting.channel)
        held = status.state != "relaxed" and status.command
        return min(max(status.command, low), high) if held else (low + high) / 2

    def _open(self, url: str, instrument: Instrument, setting: Setting, earlier: Sequence[Reading]) -> None:
        self._close()
        board = BarredBoard.open(url)
        if self._leaving:
            board.close()
            return
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
        if board is not None:
            board.link.hurry(HURRY_S)
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
