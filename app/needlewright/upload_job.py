"""Putting instruments' tables into their board: shared by the terminal and the window."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from gaugecore.board.board import Board, Limits
from gaugecore.board.session import check_channel
from gaugecore.board.stored_table import StoredTable
from gaugecore.panel.board_table import BoardTable, board_table
from gaugecore.panel.document import Instrument
from gaugecore.panel.needle_of import check_kind
from gaugecore.panel.sendable import counts_per_command, sendable_commands

#: Told before each block: bytes stored, of how many.
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class UploadJob:
    """How a table is made and stored.

    Attributes
    ----------
    max_error : float
        Largest error against the fit, in µs or steps, if the board has room.
    hysteresis : int or None
        Raw units the value must turn back before the direction changes; None: a part of the raw range.
    clamp : bool
        Whether the needle stops at the ends of the arc it can be sent to.
    one_map : bool
        Whether one map through the middle serves both directions.
    set_limits : bool
        Whether the board's limits are set to what the dial may be sent.
    """

    max_error: float
    hysteresis: int | None = None
    clamp: bool = False
    one_map: bool = False
    set_limits: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Uploaded:
    """A table that is in force.

    Attributes
    ----------
    instrument : str
        Its id.
    channel, slot : int
        Where it is.
    knots, bytes, capacity : int
        How large it is, and what a slot takes.
    hysteresis : int
        Raw units before the direction changes.
    worst_error : float
        Against the fit, over all raw values.
    caution : str
        What the board would refuse of it; empty when nothing.
    """

    instrument: str
    channel: int
    slot: int
    knots: int
    bytes: int
    capacity: int
    hysteresis: int
    worst_error: float
    caution: str = ""


@dataclass(frozen=True, slots=True)
class _Ready:
    """A table that is made, and the channel it is for; nothing is stored yet."""

    instrument: Instrument
    channel: int
    limits: Limits
    capacity: int
    made: BoardTable


def upload(
    board: Board, instrument: Instrument, channel: int, job: UploadJob, *, progress: Progress | None = None
) -> Uploaded:
    """Store the table of an instrument in a channel of a board; see `upload_all`."""
    return upload_all(board, [(instrument, channel)], job, progress=progress)[0]


def upload_all(
    board: Board,
    dials: Sequence[tuple[Instrument, int]],
    job: UploadJob,
    *,
    progress: Progress | None = None,
) -> tuple[Uploaded, ...]:
    """Store the tables of some instruments, each in its channel of a board.

    Parameters
    ----------
    board : Board
        Connected.
    dials : sequence of (Instrument, int)
        The instruments and their channels.
    job : UploadJob
        How.
    progress : callable, optional
        Told of each table as `Board.upload` tells it.

    Raises
    ------
    InputError
        If the board has no such channel, or it drives another kind of movement, or there is no table; nothing
        is stored then, not of the others either.
    BoardError
        If the board refuses, or does not answer.
    """
    ready = [_made_ready(board, instrument, channel, job) for instrument, channel in dials]
    return tuple(_stored(board, one, job, progress) for one in ready)


def _made_ready(board: Board, instrument: Instrument, channel: int, job: UploadJob) -> _Ready:
    check_channel(board, channel)
    limits = board.limits(channel)
    check_kind(instrument, limits.kind, channel=channel)
    capacity = board.slot(channel).capacity
    made = board_table(
        instrument,
        max_error=job.max_error,
        capacity=capacity,
        clamp=job.clamp,
        one_map=job.one_map,
        hysteresis=job.hysteresis,
    )
    return _Ready(instrument, channel, limits, capacity, made)


def _stored(board: Board, ready: _Ready, job: UploadJob, progress: Progress | None) -> Uploaded:
    limits, table = ready.limits, ready.made.stored
    if job.set_limits:
        limits = board.set_limits(ready.channel, *sendable_commands(ready.instrument))
    slot = board.upload(ready.channel, table, progress=progress)
    return Uploaded(
        instrument=ready.instrument.id,
        channel=ready.channel,
        slot=slot,
        knots=len(table.rising) + len(table.falling),
        bytes=len(table.to_bytes()),
        capacity=ready.capacity,
        hysteresis=table.hysteresis,
        worst_error=ready.made.worst_error,
        caution=_refused_part(table, limits, counts_per_command(ready.instrument)),
    )


def _refused_part(table: StoredTable, limits: Limits, counts: int) -> str:
    commands = [command / counts for _, command in table.rising + table.falling]
    low, high = min(commands), max(commands)
    if limits.low <= low and high <= limits.high:
        return ""
    return (
        f"the board's limits, {limits.low:g} to {limits.high:g}, refuse a part of the table, which takes "
        f"{low:g} to {high:g}: calibrate on this board, or --set-limits"
    )
