"""The virtual board: obeys docs/line-protocol.md like a real one, with modelled movements behind it.

Pure of sockets and clocks: lines and times come in, answers go out. `virtual_server` puts it on a port.
"""

from __future__ import annotations

import zlib
from collections import Counter
from collections.abc import Callable, Sequence

from gaugecore.board.messages import (
    LAST_SEQUENCE,
    MOST_BLOCK_BYTES,
    MOST_VALUES,
    PROTOCOL_VERSION,
    Answer,
    Request,
    checksum,
    parse_request,
    whole_number,
)
from gaugecore.board.virtual_channel import (
    SLOT_CAPACITY,
    Refusal,
    VirtualChannel,
)

NAME = "needlewright-virtual-1"
LEAST_WATCHDOG_MS, MOST_WATCHDOG_MS = 100, 60_000
_HEX = frozenset("0123456789ABCDEF")

#: Says, for a move about to start, where on its way it jams; None: nowhere.
Jam = Callable[[], float | None]


class VirtualBoard:
    """A board with its channels.

    Parameters
    ----------
    channels : sequence of VirtualChannel
        What hangs on it.
    pace : float
        How many seconds pass for the movements while one passes for the watchdog; the demo runs them faster.
    jam : callable
        Asked at each move where it jams.
    """

    def __init__(
        self, channels: Sequence[VirtualChannel], *, pace: float = 1.0, jam: Jam = lambda: None
    ) -> None:
        self.channels = tuple(channels)
        self.pace, self._jam = pace, jam
        self.watchdog_ms = 1000
        self.restarts = -1
        self.restart(0.0)

    def restart(self, now_s: float) -> None:
        """Start anew, as after a reset or a power cut: all relaxed, nothing greeted."""
        self.restarts += 1
        self._greeted = False
        self._last: tuple[int, int] | None = None
        self._last_answer = ""
        self._fed_at_s: float | None = None
        self._time_s = now_s
        self.counts: Counter[str] = Counter()
        for channel in self.channels:
            channel.restart(now_s * self.pace)

    def tick(self, now_s: float) -> None:
        """Look at the watchdog; to be called often."""
        if self._fed_at_s is None or now_s - self._fed_at_s <= self.watchdog_ms / 1000:
            return
        self._fed_at_s = None
        if not any(channel.powered for channel in self.channels):
            return
        self.counts["lost"] += 1
        for channel in self.channels:
            channel.lose(now_s * self.pace)

    def answer(self, body: str, now_s: float) -> str | None:
        """Carry out the request in a valid body; return the body of the answer, None when it gets none."""
        self.tick(now_s)
        self._time_s = now_s
        request = parse_request(body)
        mark = None if request is None else (request.sequence, checksum(body.encode("ascii")))
        if request is None or mark is None or not self._in_order(request, mark):
            self.counts["bad"] += 1
            return None
        self.counts["good"] += 1
        if self._fed_at_s is not None:
            self._fed_at_s = now_s
        if mark == self._last and request.verb != "hello":
            self.counts["repeated"] += 1
            return self._last_answer
        try:
            answer = Answer(request.sequence, True, tuple(map(str, self._carry_out(request))))
        except Refusal as refusal:
            self.counts["refused"] += 1
            answer = Answer(request.sequence, False, refusal.words)
        self._last, self._last_answer = mark, answer.body()
        return self._last_answer

    def _in_order(self, request: Request, mark: tuple[int, int]) -> bool:
        if request.verb == "hello" or not self._greeted or self._last is None:
            return True
        return mark == self._last or request.sequence == self._last[0] % LAST_SEQUENCE + 1

    def _carry_out(self, request: Request) -> Sequence[object]:
        if request.verb == "hello":
            return self._hello(request.words)
        if not self._greeted:
            raise Refusal("hello")
        verb = VERBS.get(request.verb)
        if verb is None:
            raise Refusal("verb")
        return verb(self, request.words)

    # Each verb takes the words after it and returns the words after ok.

    def _hello(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, 1)
        _number(words[0])
        self._greeted = True
        return PROTOCOL_VERSION, "virtual", len(self.channels), NAME

    def _alive(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, 0)
        return ()

    def _limits(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, 1, 3)
        numbers = [_number(word) for word in words]
        channel = self._channel(numbers[0])
        if len(numbers) == 3:
            channel.set_limits(numbers[1], numbers[2], self._movement_time_s)
        movement, stored = channel.movement, channel.storage
        return movement.kind, stored.low, stored.high, *movement.bounds

    def _loss(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, 1, 2, 3)
        park = None
        if words[1:] and words[1:] != ("relax",):
            if words[1] != "park" or len(words) != 3:
                raise Refusal("words")
            park = _number(words[2])
        channel = self._channel(_number(words[0]))
        if words[1:]:
            channel.set_park(park)
        return ("relax", 0) if channel.storage.park is None else ("park", channel.storage.park)

    def _watchdog(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, 0, 1)
        for word in words:
            time_ms = _number(word)
            if not LEAST_WATCHDOG_MS <= time_ms <= MOST_WATCHDOG_MS:
                raise Refusal("range", LEAST_WATCHDOG_MS, MOST_WATCHDOG_MS)
            self.watchdog_ms = time_ms
        return (self.watchdog_ms,)

    def _move(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, *range(2, MOST_VALUES + 2))
        first, *commands = (_number(word) for word in words)
        channels = self._channels(first, len(commands))
        for channel, command in zip(channels, commands, strict=True):
            channel.check(command)
        self._send(channels, commands)
        return ()

    def _raw(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, *range(2, MOST_VALUES + 2))
        first, *values = (_number(word) for word in words)
        channels = self._channels(first, len(values))
        found = [channel.command_for(raw) for channel, raw in zip(channels, values, strict=True)]
        for channel, (command, _) in zip(channels, found, strict=True):
            channel.check(command)
        self._send(channels, [command for command, _ in found])
        for channel, (_, course) in zip(channels, found, strict=True):
            channel.note_course(course)
        return ()

    def _send(self, channels: Sequence[VirtualChannel], commands: Sequence[int]) -> None:
        for channel, command in zip(channels, commands, strict=True):
            channel.move(command, self._movement_time_s, sticks_at=self._jam())
        self._fed_at_s = self._time_s

    def _relax(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, 0, 1)
        for channel in (self._channel(_number(word)) for word in words) if words else self.channels:
            channel.relax(self._movement_time_s)
        return ()

    def _status(self, words: Sequence[str]) -> Sequence[object]:
        channel = self._only_channel(words)
        return channel.state(self._movement_time_s), channel.last_command

    def _home(self, words: Sequence[str]) -> Sequence[object]:
        self._only_channel(words).home(self._movement_time_s)
        self._fed_at_s = self._time_s
        return ()

    def _counters(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, 0)
        names = ("good", "bad", "overlong", "repeated", "refused", "lost")
        return tuple(min(self.counts[name], 0xFFFF) for name in names)

    def _table(self, words: Sequence[str]) -> Sequence[object]:
        channel = self._only_channel(words)
        content, active = channel.active_bytes, channel.storage.active
        slot = "-" if active is None else active
        return slot, len(content), f"{zlib.crc32(content):08X}", SLOT_CAPACITY

    def _begin(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, 2)
        number, length = (_number(word) for word in words)
        return (self._channel(number).begin(length),)

    def _block(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, 3)
        number, offset, content = _number(words[0]), _number(words[1]), _hex_bytes(words[2])
        self._channel(number).block(offset, content)
        return ()

    def _commit(self, words: Sequence[str]) -> Sequence[object]:
        _count(words, 2)
        number = _number(words[0])
        crc = _hex_bytes(words[1])
        if len(crc) != 4:
            raise Refusal("words")
        return (self._channel(number).commit(int.from_bytes(crc, "big")),)

    def _eye(self, words: Sequence[str]) -> Sequence[object]:
        channel = self._only_channel(words)
        return (round(1000 * channel.eye.read(channel.movement.needle_deg(self._movement_time_s))),)

    def _truth(self, words: Sequence[str]) -> Sequence[object]:
        return (round(1000 * self._only_channel(words).movement.needle_deg(self._movement_time_s)),)

    @property
    def _movement_time_s(self) -> float:
        return self._time_s * self.pace

    def _only_channel(self, words: Sequence[str]) -> VirtualChannel:
        _count(words, 1)
        return self._channel(_number(words[0]))

    def _channel(self, number: int) -> VirtualChannel:
        return self._channels(number, 1)[0]

    def _channels(self, first: int, count: int) -> Sequence[VirtualChannel]:
        if first + count > len(self.channels):
            raise Refusal("channel")
        return self.channels[first : first + count]


#: What a virtual board does, by the word it is asked; `hello` stands apart.
VERBS: dict[str, Callable[[VirtualBoard, Sequence[str]], Sequence[object]]] = {
    name: getattr(VirtualBoard, f"_{name}")
    for name in (
        "alive limits loss watchdog move raw relax status home counters table begin block commit eye truth"
    ).split()
}


def _count(words: Sequence[str], *accepted: int) -> None:
    if len(words) not in accepted:
        raise Refusal("words")


def _number(word: str) -> int:
    number = whole_number(word, 0, 0xFFFF)
    if number is None:
        raise Refusal("words")
    return number


def _hex_bytes(word: str) -> bytes:
    if len(word) % 2 or not 2 <= len(word) <= 2 * MOST_BLOCK_BYTES or not _HEX.issuperset(word):
        raise Refusal("words")
    return bytes.fromhex(word)
