"""The board as its verbs: what can be asked, with numbers in the units of the job."""

from __future__ import annotations

import contextlib
import threading
import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, Self, cast

from gaugecore.board.link import Identity, Link, Patience, Refusal
from gaugecore.board.messages import MOST_BLOCK_BYTES, MOST_VALUES, TICKS_PER_US
from gaugecore.board.stored_table import StoredTable
from gaugecore.errors import BoardError, InputError, ProtocolError, RefusedError
from gaugecore.units import COMMAND_UNITS

Kind = Literal["servo", "stepper"]
State = Literal["relaxed", "moving", "still"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The limits of a channel, in command units: µs for a servo, steps for a stepper.

    Attributes
    ----------
    kind : str
        ``servo`` or ``stepper``.
    low, high : float
        Stored; the board refuses what lies outside.
    least, most : float
        What can be stored at all.
    """

    kind: Kind
    low: float
    high: float
    least: float
    most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Status:
    """What a channel does, and the last command it was sent (0: none since the start)."""

    state: State
    command: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardCounters:
    """What the board counted since it started."""

    good: int
    bad: int
    overlong: int
    repeated: int
    refused: int
    lost: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotState:
    """The table a channel has: active slot (None: no table), length and CRC-32, bytes there is room for."""

    active: int | None
    length: int
    crc: int
    capacity: int


class Board:
    """A board on a link. All commands are in µs for servos and in steps for steppers.

    Parameters
    ----------
    link : Link
        Connected.
    """

    def __init__(self, link: Link) -> None:
        self.link = link
        self._units: dict[int, int] = {}

    @classmethod
    def open(cls, url: str, *, patience: Patience | None = None) -> Self:
        """Return the board on a port; see `gaugecore.board.serial_link.open_link`."""
        from gaugecore.board.serial_link import open_link

        return cls(open_link(url, patience=patience))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the port. The needles stay as they are until the watchdog acts; `relax` first."""
        self.link.close()

    @property
    def identity(self) -> Identity:
        """Return what the board said of itself."""
        assert self.link.identity is not None
        return self.link.identity

    def limits(self, channel: int) -> Limits:
        """Return the limits stored for a channel."""
        return self._limits(self.link.ask("limits", channel), channel)

    def set_limits(self, channel: int, low: float, high: float) -> Limits:
        """Store the limits of a channel."""
        unit = self._unit(channel)
        return self._limits(self.link.ask("limits", channel, round(low * unit), round(high * unit)), channel)

    def set_loss(self, channel: int, park: float | None) -> None:
        """Store what a channel does when the traffic stops: parks at a command, or relaxes (None)."""
        if park is None:
            self.link.ask("loss", channel, "relax")
        else:
            self.link.ask("loss", channel, "park", round(park * self._unit(channel)))

    def loss(self, channel: int) -> float | None:
        """Return the command a channel parks at when the traffic stops, None when it relaxes."""
        words = self.link.ask("loss", channel)
        return None if words[:1] == ("relax",) else _whole(words, 1) / self._unit(channel)

    def watchdog_s(self) -> float:
        """Return the time without traffic after which the channels relax or park."""
        return _whole(self.link.ask("watchdog"), 0) / 1000

    def set_watchdog(self, time_s: float) -> None:
        """Store that time, 0.1 s to 60 s."""
        self.link.ask("watchdog", round(time_s * 1000))

    def alive(self) -> None:
        """Feed the watchdog."""
        self.link.ask("alive")

    def move(self, channel: int, *commands: float) -> tuple[float, ...]:
        """Move a channel, and with more commands the channels after it; return the commands as sent.

        Raises
        ------
        RefusedError
            If one is outside the stored limits; then nothing has moved.
        """
        _few_enough(commands)
        units = [self._unit(channel + place) for place in range(len(commands))]
        counts = [_count(command, unit) for command, unit in zip(commands, units, strict=True)]
        try:
            self.link.ask("move", channel, *counts)
        except Refusal as refusal:
            if refusal.reason == "limit":
                raise self._outside(channel, commands) from refusal
            raise
        return tuple(count / unit for count, unit in zip(counts, units, strict=True))

    def raw(self, channel: int, *values: int) -> None:
        """Drive a channel, and those after it, by raw values through the tables stored in the board."""
        _few_enough(values)
        self.link.ask("raw", channel, *values)

    def relax(self, channel: int | None = None) -> None:
        """Stop driving a channel, or all."""
        self.link.ask("relax", *(() if channel is None else (channel,)))

    def home(self, channel: int) -> None:
        """Drive a stepper gently into its stop and call that 0."""
        self.link.ask("home", channel)

    def status(self, channel: int) -> Status:
        """Return what a channel does."""
        words = self.link.ask("status", channel)
        if not words or words[0] not in ("relaxed", "moving", "still"):
            raise ProtocolError("the board's status makes no sense", found=" ".join(words))
        return Status(state=cast(State, words[0]), command=_whole(words, 1) / self._unit(channel))

    def counters(self) -> BoardCounters:
        """Return what the board counted."""
        words = self.link.ask("counters")
        names = ("good", "bad", "overlong", "repeated", "refused", "lost")
        return BoardCounters(**{name: _whole(words, place) for place, name in enumerate(names)})

    def slot(self, channel: int) -> SlotState:
        """Return what table a channel has."""
        words = self.link.ask("table", channel)
        active = None if words[:1] == ("-",) else _whole(words, 0)
        try:
            crc = int(words[2], 16)
        except (IndexError, ValueError) as error:
            raise ProtocolError("the board's answer makes no sense", found=" ".join(words)) from error
        return SlotState(active=active, length=_whole(words, 1), crc=crc, capacity=_whole(words, 3))

    def upload(
        self, channel: int, table: StoredTable, *, progress: Callable[[int, int], None] | None = None
    ) -> int:
        """Store a table in the slot that is not active and make it the active one; return the slot.

        A reset on the way leaves the old table active; the upload is then begun again, once.

        Parameters
        ----------
        channel : int
            Whose table it becomes.
        table : StoredTable
            The table.
        progress : callable, optional
            Told before each block: bytes stored, of how many. What it raises ends the upload, and the old
            table stays active.
        """
        content = table.to_bytes()
        for attempt in (1, 2):
            self.link.ask("begin", channel, len(content))
            try:
                for start in range(0, len(content), MOST_BLOCK_BYTES):
                    if progress is not None:
                        progress(start, len(content))
                    block = content[start : start + MOST_BLOCK_BYTES]
                    self.link.ask("block", channel, start, block.hex().upper())
                return _whole(self.link.ask("commit", channel, f"{zlib.crc32(content):08X}"), 0)
            except RefusedError:
                if attempt == 2:
                    raise
        raise AssertionError("not reached")

    def eye_deg(self, channel: int) -> float:
        """Return where a person sees the needle. Virtual boards only."""
        return _angle_deg(self.link.ask("eye", channel))

    def truth_deg(self, channel: int) -> float:
        """Return where the needle really is; for scoring only. Virtual boards only."""
        return _angle_deg(self.link.ask("truth", channel))

    @contextlib.contextmanager
    def kept_alive(self) -> Iterator[None]:
        """Feed the watchdog from a thread while the block runs.

        When this process dies the feeding stops, and the board relaxes or parks.
        """
        done = threading.Event()
        every_s = self.watchdog_s() / 3

        def feed() -> None:
            while not done.wait(every_s):
                with contextlib.suppress(BoardError):  # whoever moves the needle will meet it, and say so
                    self.alive()

        thread = threading.Thread(target=feed, daemon=True)
        thread.start()
        try:
            yield
        finally:
            done.set()
            thread.join()

    def _outside(self, channel: int, commands: Sequence[float]) -> RefusedError:
        limits = [self.limits(channel + place) for place in range(len(commands))]
        worst = next((i for i, one in enumerate(limits) if not one.low <= commands[i] <= one.high), 0)
        return RefusedError(
            f"the command for channel {channel + worst} is outside the limits stored in the board",
            where=self.link.name,
            found=f"{commands[worst]:g}",
            accepted=f"{limits[worst].low:g} to {limits[worst].high:g} {COMMAND_UNITS[limits[worst].kind]}",
        )

    def _unit(self, channel: int) -> int:
        if channel not in self._units:
            self.limits(channel)
        return self._units[channel]

    def _limits(self, words: tuple[str, ...], channel: int) -> Limits:
        if len(words) != 5 or words[0] not in ("servo", "stepper"):
            raise ProtocolError("the board's limits make no sense", found=" ".join(words))
        unit = TICKS_PER_US if words[0] == "servo" else 1
        self._units[channel] = unit
        low, high, least, most = (_whole(words, place) / unit for place in range(1, 5))
        return Limits(kind=cast(Kind, words[0]), low=low, high=high, least=least, most=most)


def check_channel(board: Board, channel: int) -> None:
    """Refuse a channel the board does not have.

    Raises
    ------
    InputError
        With the channels there are.
    """
    count = board.identity.channels
    if not 0 <= channel < count:
        accepted = "0" if count == 1 else f"0 to {count - 1}"
        raise InputError("the board has no such channel", found=channel, accepted=accepted)


def _few_enough(values: Sequence[float]) -> None:
    if not 1 <= len(values) <= MOST_VALUES:
        raise RefusedError("one request moves 1 to 8 channels", found=len(values))


def _count(command: float, unit: int) -> int:
    if not 0 <= command * unit <= 0xFFFF:
        raise RefusedError(
            "there is no such command", found=f"{command:g}", accepted="0 to 32767 µs or 65535 steps"
        )
    return round(command * unit)


def _whole(words: tuple[str, ...], place: int) -> int:
    try:
        return int(words[place])
    except (IndexError, ValueError) as error:
        raise ProtocolError("the board's answer makes no sense", found=" ".join(words)) from error


def _angle_deg(words: tuple[str, ...]) -> float:
    return _whole(words, 0) / 1000
