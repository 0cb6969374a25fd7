"""A board that can be barred from moving while another thread is in the middle of a movement."""

from __future__ import annotations

import contextlib
import threading
from typing import Any, cast

from gaugecore.board.board import Board
from gaugecore.board.link import Link
from gaugecore.errors import BoardError
from needlewright.ui.translation import translate

#: Requests that neither move nor power a needle, nor make it move later; every other one is barred.
HARMLESS_VERBS = frozenset(
    ("hello", "alive", "limits", "watchdog", "relax", "status", "counters", "table", "eye", "truth")
)


class Stopped(BoardError):
    """The user stopped the needle."""


class BarredBoard(Board):
    """A board that moves nothing while ``barred`` is set.

    Attributes
    ----------
    barred : threading.Event
        What bars it. Whoever asks for several things in turn gives each its own event, so that a stop never
        has to be taken back.
    """

    def __init__(self, link: Link) -> None:
        self.barred = threading.Event()
        super().__init__(cast(Link, _BarredLink(link, self)))


class _BarredLink:
    """A link that lets nothing through that could move a needle of a barred board."""

    def __init__(self, link: Link, board: BarredBoard) -> None:
        self._link, self._board = link, board
        # looking at the bar and asking are one step: else a stop could come, and relax, in between
        self._gate = threading.Lock()

    def ask(self, verb: str, *words: object) -> tuple[str, ...]:
        """Return the board's answer; see `Link.ask`.

        Raises
        ------
        Stopped
            If the request could move or power a needle, and the board is barred.
        """
        if _only_looks(verb, words):
            return self._link.ask(verb, *words)
        with self._gate:
            if verb != "relax" and self._board.barred.is_set():
                raise Stopped(
                    translate(
                        "barred_board", "stopped, and the needle is relaxed; go on when its sweep is clear"
                    )
                )
            return self._link.ask(verb, *words)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._link, name)


def _only_looks(verb: str, words: tuple[object, ...]) -> bool:
    """Return whether a request may overtake a movement."""
    if verb == "relax":
        return False  # it takes its turn after the movement that is being asked for, never before
    return verb in HARMLESS_VERBS or (verb == "loss" and "park" not in words)


def relax_at_once(board: Board) -> None:
    """Relax every needle, whatever else the board is asked for meanwhile."""
    with contextlib.suppress(BoardError):  # a board that is out of reach relaxes by its watchdog
        board.relax()
