"""Driving: live values move the needles of one board, the newest value wins, and nothing queues up.

Each round takes all that the feed has, works out where the needles are to be, and sends what has changed. The
board answers each request before the next is sent, so a slow line makes rounds longer, never a queue.
"""

from __future__ import annotations

import contextlib
import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby
from statistics import median
from threading import Event

from gaugecore.board.board import Board
from gaugecore.board.messages import MOST_VALUES
from gaugecore.errors import BoardError, InputError, NoAnswerError, PortError, RefusedError
from gaugecore.feed.feed import Arrival, Feed
from gaugecore.panel.driven_dial import DrivenDial
from gaugecore.panel.needle_of import check_kind

#: Latencies kept for the figures: some minutes' worth, and no more memory after days.
_KEPT = 10_000
_PARKING_DEG_PER_S = 120.0
_PARKING_S = 4.0
_GIVE_UP_S = 30.0
#: After this time all is sent again, changed or not.
_REFRESH_S = 1.0
#: A feed may carry hundreds of values that are none of this panel's.
_MOST_UNUSED = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class DialState:
    """One dial as it is driven.

    Attributes
    ----------
    id : str
        Of the instrument.
    raw : float or None
        The last raw value, held to its range; None: none has come.
    angle_deg : float or None
        Where the needle is sent, damped.
    command : float or None
        What the board was last sent, in µs or steps.
    """

    id: str
    raw: float | None
    angle_deg: float | None
    command: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DriveState:
    """All there is to show of a drive.

    Attributes
    ----------
    elapsed_s : float
        Since it began.
    dials : tuple of DialState
        In the order of the panel.
    rounds, requests : int
        Rounds gone, and requests sent in them.
    silent_s : float
        Since a value came last.
    latency_median_ms, latency_95_ms, latency_worst_ms : float or None
        From the arrival of a value to the board's answer, over the last ten thousand; None before the first.
    trouble : str
        Why the needles do not follow just now; empty when they do.
    awaited, unused : tuple of str
        Names of values that a dial follows and that never came, and of some that came and no dial follows.
    """

    elapsed_s: float
    dials: tuple[DialState, ...]
    rounds: int
    requests: int
    silent_s: float
    latency_median_ms: float | None
    latency_95_ms: float | None
    latency_worst_ms: float | None
    trouble: str = ""
    awaited: tuple[str, ...] = ()
    unused: tuple[str, ...] = ()


class Driver:
    """Drives the dials of one board from a feed.

    Parameters
    ----------
    board : Board
        Connected.
    dials : sequence of DrivenDial
        Each on a channel of its own.
    feed : Feed
        Where the values come from.
    rate_hz : float
        Most rounds a second.

    Raises
    ------
    InputError
        If the rate is none.
    """

    def __init__(
        self, board: Board, dials: Sequence[DrivenDial], feed: Feed, *, rate_hz: float = 50.0
    ) -> None:
        if not 1 <= rate_hz <= 200:
            raise InputError("the rate", found=f"{rate_hz:g}", accepted="1 to 200 rounds a second")
        self.board, self.dials, self.feed = board, tuple(dials), feed
        self._period_s = 1.0 / rate_hz
        self._by_name: dict[str, list[DrivenDial]] = {}
        for dial in self.dials:
            self._by_name.setdefault(dial.name, []).append(dial)
        self._groups = _neighbours(self.dials)
        self._held_to = {dial.channel: dial.command_range for dial in self.dials}
        self._sent: dict[int, float] = {}
        self._latencies_ms: deque[float] = deque(maxlen=_KEPT)
        self._rounds = self._requests = 0
        self._begun_s = self._heard_s = self._round_s = self._refreshed_s = time.monotonic()
        self._valued_s = self._begun_s
        self._trouble = ""
        self._unused: list[str] = []
        self._upsets = self._count_upsets()
        self._sets_limits: bool | None = None

    def check_board(self, *, set_limits: bool = False) -> None:
        """Make sure that the board has a channel of the right kind for each dial, and limits that let it go.

        From then on no command is sent that lies outside the board's own limits.

        Parameters
        ----------
        set_limits : bool
            Whether the board's limits are set to what each dial may be sent, instead of refused.

        Raises
        ------
        InputError
            If a channel is missing or drives another kind of movement, or its limits are too narrow.
        """
        self._sets_limits = set_limits
        for dial in self.dials:
            if dial.channel >= self.board.identity.channels:
                raise InputError(
                    f"{dial.id} is on channel {dial.channel}, which the board does not have",
                    found=f"{self.board.identity.channels} channels",
                    accepted="a board with a channel for each dial, in the order of the panel",
                )
            limits = self.board.limits(dial.channel)
            check_kind(dial.instrument, limits.kind, channel=dial.channel)
            low, high = dial.command_range
            if set_limits and (limits.low, limits.high) != (low, high):
                limits = self.board.set_limits(dial.channel, low, high)
            one = 1.0 / dial.counts_per_command  # rounding is no reason to refuse
            if limits.low > low + one or limits.high < high - one:
                raise InputError(
                    f"the limits stored in the board are too narrow for {dial.id}",
                    where=f"channel {dial.channel}",
                    found=f"{limits.low:g} to {limits.high:g}",
                    accepted=f"{low:g} to {high:g}: calibrate on this board, or --set-limits",
                )
            self._held_to[dial.channel] = max(low, limits.low), min(high, limits.high)

    def sendable(self, dial: DrivenDial) -> tuple[float, float]:
        """Return the lowest and the highest command that is sent to a dial."""
        return self._held_to[dial.channel]

    def run(self, stop: Event, *, on_round: Callable[[], None] | None = None) -> None:
        """Drive until `stop` is set or the feed ends; then park and relax the needles, whatever happened.

        Parameters
        ----------
        stop : Event
            Ends it, from any thread.
        on_round : callable or None
            Called after each round.

        Raises
        ------
        BoardError
            If the board refuses, or stays out of reach for half a minute.
        """
        lost_s: float | None = None
        with self.board.kept_alive():
            try:
                while not stop.is_set() and not self.feed.ended:
                    try:
                        self.round()
                        lost_s, self._trouble = None, ""
                    except (PortError, NoAnswerError) as error:
                        lost_s, self._trouble = lost_s or time.monotonic(), str(error)
                        if time.monotonic() - lost_s > _GIVE_UP_S:
                            raise
                    if on_round is not None:
                        on_round()
            finally:
                self.park()

    def round(self) -> None:
        """Take what has come, and send what has changed."""
        due_s = self._round_s + self._period_s
        arrival = self.feed.poll(due_s - time.monotonic())
        # a value that comes between two rounds is sent at once, unless another one was only just
        early_s = self._valued_s + self._period_s / 2 - time.monotonic()
        if arrival.values and early_s > 0:
            time.sleep(early_s)
            arrival = _merged(arrival, self.feed.poll(0.0))
        for name, value in arrival.values.items():
            for dial in self._by_name.get(name, ()):
                dial.take(value)
                self._heard_s = time.monotonic()
            if name not in self._by_name and len(self._unused) < _MOST_UNUSED and name not in self._unused:
                self._unused.append(name)
        now_s = time.monotonic()
        elapsed_s, self._round_s = now_s - self._round_s, now_s
        self._valued_s = now_s if arrival.values else self._valued_s
        self._rounds += 1
        if self._sent_anew(elapsed_s) and arrival.values:
            self._latencies_ms.append(1000.0 * (time.monotonic() - arrival.at_s))

    def park(self) -> None:
        """Bring each needle home, to its park command or the scale's low end, and relax it."""
        reachable = True
        try:
            self._park_gently()
        except (PortError, NoAnswerError):
            reachable = False  # its watchdog relaxes or parks the needles
        except BoardError:
            pass  # whatever it refused, it can still relax
        finally:
            if reachable:
                with contextlib.suppress(BoardError):
                    self.board.relax()

    def state(self) -> DriveState:
        """Return all there is to show."""
        now_s = time.monotonic()
        kept = sorted(self._latencies_ms)
        return DriveState(
            elapsed_s=now_s - self._begun_s,
            dials=tuple(
                DialState(
                    id=dial.id, raw=dial.raw, angle_deg=dial.angle_deg, command=self._sent.get(dial.channel)
                )
                for dial in self.dials
            ),
            rounds=self._rounds,
            requests=self._requests,
            silent_s=now_s - self._heard_s,
            latency_median_ms=median(kept) if kept else None,
            latency_95_ms=kept[int(0.95 * (len(kept) - 1))] if kept else None,
            latency_worst_ms=kept[-1] if kept else None,
            trouble=self._trouble,
            awaited=tuple(name for name, dials in self._by_name.items() if dials[0].raw is None),
            unused=tuple(self._unused),
        )

    def _sent_anew(self, elapsed_s: float) -> bool:
        try:
            return self._send(elapsed_s)
        except RefusedError:
            if self._sets_limits is None or self._count_upsets() == self._upsets:
                raise
            return False  # by a board that was plugged in just now: the next round sees to its limits first

    def _send(self, elapsed_s: float) -> bool:
        upsets = self._count_upsets()
        if upsets != self._upsets and self._sets_limits is not None:
            # what was plugged in again may be another board, or the same one with other limits
            self.check_board(set_limits=self._sets_limits)
        if upsets != self._upsets or time.monotonic() - self._refreshed_s > _REFRESH_S:
            # a board that was reset, or whose watchdog ran out, has let its needles go
            self._sent.clear()
            self._upsets = upsets
            self._refreshed_s = time.monotonic()
        sent = False
        for group in self._groups:
            wanted = [self._wanted(dial, elapsed_s) for dial in group]
            # a dial that has had no value yet stays relaxed, and splits its group
            for ready, run in groupby(zip(group, wanted, strict=True), key=lambda pair: pair[1] is not None):
                if ready:
                    sent |= self._move([(dial, command) for dial, command in run if command is not None])
        return sent

    def _wanted(self, dial: DrivenDial, elapsed_s: float) -> float | None:
        command = dial.command(elapsed_s)
        return None if command is None else self._held(dial, command)

    def _held(self, dial: DrivenDial, command: float) -> float:
        """Return a command as the board can send it, so that a tremble below a tick is no change."""
        low, high = self._held_to[dial.channel]
        whole = round(command * dial.counts_per_command) / dial.counts_per_command
        return min(max(whole, low), high)

    def _move(self, moves: Sequence[tuple[DrivenDial, float]]) -> bool:
        if all(self._sent.get(dial.channel) == command for dial, command in moves):
            return False
        self.board.move(moves[0][0].channel, *(command for _, command in moves))
        self._sent |= {dial.channel: command for dial, command in moves}
        self._requests += 1
        return True

    def _park_gently(self) -> None:
        moving = [dial for dial in self.dials if dial.channel in self._sent]
        homes = {dial.channel: self.board.loss(dial.channel) for dial in moving}
        begun_s = last_s = time.monotonic()
        while moving and (now_s := time.monotonic()) - begun_s < _PARKING_S:
            moving = [d for d in moving if not self._step_home(d, homes[d.channel], now_s - last_s)]
            last_s = now_s
            time.sleep(0.02)
        for dial in self.dials:
            while (
                self.board.status(dial.channel).state == "moving" and time.monotonic() - begun_s < _PARKING_S
            ):
                time.sleep(0.02)

    def _step_home(self, dial: DrivenDial, park: float | None, elapsed_s: float) -> bool:
        """Go a step towards home; return whether it is there."""
        if park is not None:
            # the board holds a park command to its limits, which may have changed since it was stored
            held = self._held(dial, park)
            self._move([(dial, held)])
            dial.angle_deg = dial.angle_at(held)
            return True
        if dial.angle_deg is None:
            return True
        step_deg = _PARKING_DEG_PER_S * elapsed_s
        left_deg = dial.home_deg - dial.angle_deg
        dial.angle_deg += min(max(left_deg, -step_deg), step_deg)
        self._move([(dial, self._held(dial, dial.command_at(dial.angle_deg)))])
        return dial.angle_deg == dial.home_deg

    def _count_upsets(self) -> int:
        counters = self.board.link.counters
        return counters.restarts + counters.reconnections


def _neighbours(dials: Sequence[DrivenDial]) -> list[list[DrivenDial]]:
    """Return the dials in groups of neighbouring channels, each small enough for one request."""
    ordered = sorted(dials, key=lambda dial: dial.channel)
    groups: list[list[DrivenDial]] = []
    for dial in ordered:
        joins = groups and dial.channel == groups[-1][-1].channel + 1 and len(groups[-1]) < MOST_VALUES
        if joins:
            groups[-1].append(dial)
        else:
            groups.append([dial])
    return groups


def _merged(one: Arrival, two: Arrival) -> Arrival:
    # the first one's time: the latency that is counted is that of the value that waited longest
    return Arrival({**one.values, **two.values}, one.at_s)
