"""A batch of bad lines to a board, and the proof that nothing moved but what was meant."""

from __future__ import annotations

from typing import Protocol

from gaugecore.board.messages import frame
from tests.firmware.oracle import Mirror, Mischief

#: In the simulator an edge that the program makes may be off by this much.
_EDGE_TICKS = 2
_SETTLE_MS = 900.0


class Driven(Protocol):
    """A board that is given bytes and time: in the simulator, or compiled for this machine."""

    def exchange(self, data: bytes, then_ms: float = 0.0) -> bytes:
        """Send bytes, let time pass, return what came back."""

    def pulse_ticks(self, channel: int) -> list[float]:
        """Return the widths of the pulses since the last call."""


def be_patient(board: Driven, mirror: Mirror, mischief: Mischief) -> None:
    """Set the longest watchdog time, which the mirror's clock does not know."""
    for request in ("hello 1", "watchdog 60000"):
        line = frame(f"{mischief.next_sequence()} {request}")
        mirror.feed(line)
        assert b" ok" in board.exchange(line, 200.0)


def play_batch(board: Driven, mirror: Mirror, mischief: Mischief, *, lines: int) -> int:
    """Send one well-meant `move` and then bad lines; return how many.

    Raises
    ------
    AssertionError
        If a pulse lies where no good line sent it, or the board reports another command than it should.
    """
    seen = [{channel.last_command} - {0} for channel in mirror.board.channels]
    meant = f"move {mischief.chance.randrange(mischief.channels)} {mischief.chance.randrange(2000, 4001)}"
    pieces = [b"\n", *(frame(f"{mischief.next_sequence()} {request}") for request in ("hello 1", meant))]
    pieces += [*mischief.stream(lines), b"\n"]  # the last one ends whatever is still open
    for piece in pieces:
        mirror.feed(piece)
        for channel, commands in zip(mirror.board.channels, seen, strict=True):
            commands |= {channel.last_command} - {0}
    board.exchange(b"".join(pieces), _SETTLE_MS)
    _check(board, mirror, mischief, seen)
    return lines


def _check(board: Driven, mirror: Mirror, mischief: Mischief, seen: list[set[int]]) -> None:
    # a good line among the bad ones may have counted on
    mischief.sequence = 0 if mirror.board._last is None else mirror.board._last[0]
    for number, channel in enumerate(mirror.board.channels[: mischief.channels]):
        line = frame(f"{mischief.next_sequence()} status {number}")
        mirror.feed(line)
        state, command = board.exchange(line, 20.0).decode().split("*")[0].split()[2:]
        assert int(command) == channel.last_command
        assert (state == "relaxed") == (not channel.powered)
        ticks = board.pulse_ticks(number)
        if ticks:
            assert min(seen[number]) - _EDGE_TICKS <= min(ticks)
            assert max(ticks) <= max(seen[number]) + _EDGE_TICKS
            assert abs(ticks[-1] - channel.last_command) <= _EDGE_TICKS
