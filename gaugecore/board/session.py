"""The calibration session: limits, targets, readings, with no terminal and no window in it.

Each call does one thing and returns when it is done; what a front end shows is in `Session.state`, a plain
value, given to `on_change` whenever it changes. The needle always relaxes at the end, and when nothing is
asked for some minutes. A reading is on disk before the next target; when the board goes away, the call
raises, nothing taken is lost, and calling again goes on.
"""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Self

from gaugecore.board.board import Board, check_channel
from gaugecore.board.motion import Manner, Mover
from gaugecore.board.session_state import CAUTION, Doing, SessionState, Setting
from gaugecore.calibration.plan import Target, places_in, staggered_plan
from gaugecore.calibration.readings import Direction, Held, Reading, format_readings, make_reading
from gaugecore.errors import BoardError, InputError
from gaugecore.files import write_whole

__all__ = ["CAUTION", "Doing", "Session", "SessionState", "Setting", "check_channel", "take_readings"]

#: Part of the range that an approach runs one way, and the least of it in command units.
_OVERRUN, _LEAST_OVERRUN = 0.05, 40.0

#: A needle may stand a little beyond its dial, and a pen may slip by 10°; what is farther out is no reading.
_BEYOND_ARC_DEG = 90.0
_LARGEST_DEG = 36000.0


class Session:
    """One sitting at the bench; use it in a ``with`` block, which relaxes the needle at the end.

    Parameters
    ----------
    board : Board
        Connected.
    setting : Setting
        What to do.
    manner : Manner or None
        How to move; None: as suits the board.
    on_change : callable or None
        Given every new state.
    """

    def __init__(
        self,
        board: Board,
        setting: Setting,
        *,
        manner: Manner | None = None,
        on_change: Callable[[SessionState], None] | None = None,
    ) -> None:
        check_channel(board, setting.channel)
        self.board, self.setting = board, setting
        self.state = SessionState()
        self._mover = Mover(board, setting.channel, manner)
        self._on_change = on_change
        self._jogged = False
        self._side: Direction | None = None  # from which the needle came, when the user chose it
        self._limits_before: tuple[float, float] | None = None
        self._places: tuple[int, ...] = ()  # for each reading, the target it belongs to
        self._alive = contextlib.ExitStack()
        # held while the needle is moved or read, so that it is not let go in the middle
        self._busy = threading.RLock()
        self._asked_s = time.monotonic()
        self._is_held = False

    def __enter__(self) -> Self:
        self._alive.enter_context(self.board.kept_alive())
        self._alive.enter_context(self._let_go_when_idle())
        return self

    def __exit__(self, *_: object) -> None:
        self._alive.close()
        # a board that is out of reach relaxes by its watchdog
        with contextlib.suppress(BoardError):
            self.board.relax(self.setting.channel)
        # whether or not it relaxed, limits that were only widened to look for the range do not stay
        with contextlib.suppress(BoardError):
            if self._limits_before is not None:
                self.board.set_limits(self.setting.channel, *self._limits_before)

    # The range

    def stored_range(self) -> tuple[float, float]:
        """Return the limits the board has, narrowed to what this movement may be sent."""
        limits = self.board.limits(self.setting.channel)
        low, high = self.setting.widest
        return max(limits.low, low), min(limits.high, high)

    def seek(self, command: float) -> float:
        """Go to a command while the range is not known yet; the board's limits give way, `widest` does not.

        Returns
        -------
        float
            The command as the board took it.
        """
        command = self.make_room(command)
        return self._moved(lambda: self._mover.go(command), Doing.READY)

    def creep(self, command: float) -> float:
        """Go a little way on a longer one, as `seek` but without waiting until the needle rests."""
        command = self.make_room(command)
        return self._moved(lambda: self._mover.step(command), Doing.READY)

    def make_room(self, command: float) -> float:
        """Let the board's limits give way for a command; return it, held to `widest`."""
        low, high = self.setting.widest
        command = min(max(command, low), high)
        limits = self.board.limits(self.setting.channel)
        if not limits.low <= command <= limits.high:
            self._limits_before = self._limits_before or (limits.low, limits.high)
            self.board.set_limits(self.setting.channel, min(limits.low, command), max(limits.high, command))
        return command

    def home(self) -> None:
        """Drive a stepper gently into its stop, so that count and needle agree; a servo needs none of it."""
        if self.board.limits(self.setting.channel).kind == "stepper":
            self._moved(self._mover.home, Doing.READY)

    def set_range(self, low: float, high: float, earlier: Sequence[Reading] = ()) -> None:
        """Store the safe range in the board and plan the targets inside it; a stepper is homed.

        Parameters
        ----------
        low, high : float
            Commands.
        earlier : sequence of Reading
            What a sitting with the same range and plan took before it stopped; this one goes on there.

        Raises
        ------
        InputError
            If it is no range, or wider than this movement may be sent, or the readings are none of this plan;
            nothing is stored then.
        """
        least, most = self.setting.widest
        if not least <= low < high <= most:
            raise InputError(
                "the safe range",
                found=f"{low:g} to {high:g}",
                accepted=f"two commands from {least:g} to {most:g}, the lower one first",
            )
        targets = staggered_plan(
            low,
            high,
            readings=self.setting.readings,
            clockwise_with_command=self.setting.clockwise_with_command,
            cycles=self.setting.cycles,
        )
        places = places_in(targets, earlier, where=str(self.setting.out or ""))
        stored = self.board.set_limits(self.setting.channel, low, high)
        self._limits_before = None
        self.home()
        at = places[-1] + 1 if places else 0
        self._show(limits=(stored.low, stored.high), targets=targets, at=at, doing=Doing.READY)
        if earlier:
            self._places = places
            self._show(readings=tuple(earlier), doing=self._between(at))

    # The readings

    def approach(self) -> float:
        """Bring the needle to the target in hand from the side it asks for; return the command."""
        target, (low, high) = self._target_in_hand()
        self._jogged, self._side = False, None
        return self._approach(min(max(target.command, low), high), target.direction)

    def jog(self, amount: float, side: Direction | None = None) -> float:
        """Shift the needle by a little.

        Parameters
        ----------
        amount : float
            In command units.
        side : Direction or None
            From which side it arrives, and of which the reading is then; None: from that of the target.

        Returns
        -------
        float
            The command as the board took it.
        """
        target, (low, high) = self._target_in_hand()
        here = self.state.command
        if here is None or self.state.doing is not Doing.AT_TARGET:
            here = self.approach()
        command = self._approach(min(max(here + amount, low), high), side or target.direction)
        self._jogged, self._side = True, side
        return command

    def record(self, angle_deg: float, *, held: Held | None = None, note: str = "") -> Reading:
        """Take the reading: the needle stands at this dial angle. Saves, and goes on to the next target.

        Parameters
        ----------
        angle_deg : float
            Dial angle.
        held : Held or None
            Which one was set; None: the angle if the needle was jogged, else the command.
        note : str
            Any remark.

        Raises
        ------
        InputError
            If the needle is not at a target, or the angle or the note makes no sense.
        OutputError
            If the file cannot be written; the reading is kept and saved with the next one.
        """
        with self._busy:
            target, _ = self._target_in_hand()
            if self.state.doing is not Doing.AT_TARGET or self.state.command is None:
                why = "it was let go when nothing was asked" if self.state.dozing else "it is not at a target"
                raise InputError(f"there is nothing to read from the needle: {why}")
            self._check_angle(angle_deg)
            reading = make_reading(
                command=self.state.command,
                angle_deg=angle_deg,
                direction=self._side or target.direction,
                cycle=target.cycle,
                held=held or (Held.ANGLE if self._jogged else Held.COMMAND),
                note=note,
            )
            at = self.state.at + 1
            self._places += (self.state.at,)
            self._show(readings=(*self.state.readings, reading), at=at, doing=self._between(at), unsaved=True)
        self.save()
        return reading

    def _check_angle(self, angle_deg: float) -> None:
        low, high = self.setting.arc_deg or (-_LARGEST_DEG, _LARGEST_DEG)
        low, high = low - _BEYOND_ARC_DEG, high + _BEYOND_ARC_DEG
        if not low <= angle_deg <= high:
            raise InputError(
                "no needle of this dial stands there",
                found=f"{angle_deg:g}°",
                accepted=f"a dial angle from {low:g}° to {high:g}°, left of twelve below zero",
            )

    def undo(self) -> Reading | None:
        """Take back the last reading and its target; return the reading, None when there is none."""
        if not self.state.readings:
            return None
        *kept, last = self.state.readings
        at, self._places = self._places[-1], self._places[:-1]
        self._show(readings=tuple(kept), at=at, doing=Doing.READY, unsaved=True)
        self.save()
        return last

    def skip(self) -> None:
        """Leave out the target in hand."""
        self._target_in_hand()
        self._show(at=self.state.at + 1, doing=self._between(self.state.at + 1))

    def exclude(self, row: int, reason: str) -> None:
        """Mark a reading, rows numbered from 1, as left out of the fit; an empty reason counts it again.

        Raises
        ------
        InputError
            If there is no such row, or the reason is no short text on one line.
        """
        self._judge_row(row, excluded=reason)

    def stand_by(self, row: int, reason: str) -> None:
        """Mark a reading as one to be believed although the fit doubts it; an empty reason lets it doubt.

        Raises
        ------
        InputError
            As for `exclude`.
        """
        self._judge_row(row, kept=reason)

    def _judge_row(self, row: int, **verdict: str) -> None:
        if not 1 <= row <= len(self.state.readings):
            raise InputError("no such row", found=row, accepted=f"1 to {len(self.state.readings)}")
        changed = list(self.state.readings)
        changed[row - 1] = make_reading(**{**changed[row - 1].model_dump(), **verdict})
        self._show(readings=tuple(changed), unsaved=True)
        self.save()

    def relax(self) -> None:
        """Let the needle go; it has to be sent to the target in hand again before it can be read."""
        with self._busy:
            self.lose_needle()
            self.board.relax(self.setting.channel)

    def lose_needle(self) -> None:
        """Take note that nothing holds the needle any more, as after a reset; it moves only when asked to."""
        with self._busy:
            self._mover.at, self._is_held = None, False
            self._show(doing=self._between(self.state.at))

    def save(self) -> None:
        """Write the readings file, whole."""
        out = self.setting.out
        if out is not None:
            text = format_readings(self.state.readings, comment=self.setting.comment)
            write_whole(out, text.encode("utf-8"))
        self._show(unsaved=False)

    def rising(self, direction: Direction) -> bool:
        """Return whether the command rises when the needle arrives so."""
        return (direction is Direction.UP) == self.setting.clockwise_with_command

    def _target_in_hand(self) -> tuple[Target, tuple[float, float]]:
        if self.state.limits is None:
            raise InputError("the safe range is not set yet")
        if self.state.target is None:
            raise InputError("all targets are done")
        return self.state.target, self.state.limits

    def _approach(self, command: float, side: Direction) -> float:
        _, (low, high) = self._target_in_hand()
        overrun = max(_OVERRUN * (high - low), min(_LEAST_OVERRUN, 0.25 * (high - low)))
        rising = self.rising(side)
        return self._moved(
            lambda: self._mover.approach(command, rising=rising, overrun=overrun, low=low, high=high),
            Doing.AT_TARGET,
        )

    def _moved(self, move: Callable[[], float], then: Doing) -> float:
        with self._busy:
            self._is_held = True
            self._show(doing=Doing.MOVING, dozing=False)
            try:
                command = move()
            except BaseException:
                self._mover.at = None
                self._show(doing=Doing.READY)
                raise
            self._show(doing=then, command=command)
            return command

    def _between(self, at: int) -> Doing:
        return Doing.DONE if at >= len(self.state.targets) else Doing.READY

    @contextlib.contextmanager
    def _let_go_when_idle(self) -> Iterator[None]:
        """Look now and then, from a thread, whether a needle is held that nobody asks anything of."""
        done = threading.Event()

        def look() -> None:
            while not done.wait(self.setting.idle_s / 20):
                with self._busy:
                    if self._is_held and time.monotonic() - self._asked_s > self.setting.idle_s:
                        with contextlib.suppress(BoardError):  # out of reach: its watchdog lets go
                            self.relax()
                        self._show(dozing=True)

        thread = threading.Thread(target=look, daemon=True)
        thread.start()
        try:
            yield
        finally:
            done.set()
            thread.join()

    def _show(self, **changes: object) -> None:
        # the thread that lets an idle needle go shows states, too: neither may undo what the other has shown
        with self._busy:
            self._asked_s = time.monotonic()
            self.state = replace(self.state, **changes)  # type: ignore[arg-type]
            if self._on_change is not None:
                self._on_change(self.state)


def take_readings(session: Session, read: Callable[[], float]) -> tuple[Reading, ...]:
    """Take all the readings that are left, with an eye that is called when the needle rests.

    Parameters
    ----------
    session : Session
        With its range set.
    read : callable
        Returns the dial angle; ``lambda: board.eye_deg(channel)`` on a virtual board.
    """
    while session.state.doing is not Doing.DONE:
        session.approach()
        session.record(read())
    return session.state.readings
