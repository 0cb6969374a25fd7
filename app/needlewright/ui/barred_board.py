"""A board that can be barred from moving while another thread is in the middle of a movement."""

from __future__ import annotations

import contextlib
import threading

from gaugecore.board.board import Board
from gaugecore.board.link import Link
from gaugecore.errors import BoardError


class Stopped(BoardError):
    """The user stopped the needle."""


class BarredBoard(Board):
    """A board that moves nothing while ``barred`` is set."""

    def __init__(self, link: Link) -> None:
        super().__init__(link)
        self.barred = threading.Event()

    def move(self, channel: int, *commands: float) -> tuple[float, ...]:
        """Move, unless barred."""
        if self.barred.is_set():
            raise Stopped("stopped, and the needle is relaxed; go on when its sweep is clear")
        return super().move(channel, *commands)


def relax_at_once(board: Board) -> None:
    """Relax every needle, whatever else the board is asked for meanwhile."""
    with contextlib.suppress(BoardError):  # a board that is out of reach relaxes by its watchdog
        board.relax()
