"""A stop holds: whatever was asked for before it moves no needle any more, and what comes after it may."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from typing import Any

import pytest
from PySide6.QtCore import Qt

from gaugecore.board.link import Identity
from gaugecore.board.session import Setting
from gaugecore.board.stored_table import StoredTable
from gaugecore.panel.document import Panel
from needlewright.ui.barred_board import BarredBoard, Stopped, relax_at_once
from needlewright.ui.bench import Bench

MOVING = ("move", "raw", "home")


class _Line:
    """A link that answers like a servo board and remembers what it was asked, in order."""

    identity = Identity(version=1, virtual=True, channels=2, name="line")
    name = "line"

    def __init__(self) -> None:
        self.asked: list[str] = []
        self.on: dict[str, Any] = {}

    def ask(self, verb: str, *words: object) -> tuple[str, ...]:
        if verb in self.on:
            self.on.pop(verb)()
        self.asked.append(" ".join(map(str, (verb, *words))))
        answers = {"limits": ("servo", "2000", "4000", "600", "6000"), "status": ("still", "3000")}
        return answers.get(verb, ("1000", "0", "00000000", "64"))

    @property
    def moved(self) -> list[str]:
        return [line for line in self.asked if line.split()[0] in MOVING]


def _board(line: _Line) -> BarredBoard:
    return BarredBoard(line)  # type: ignore[arg-type]


_WAYS_TO_MOVE = {
    "move": lambda board: board.move(0, 1500.0),
    "raw": lambda board: board.raw(0, 7),
    "home": lambda board: board.home(0),
    "set_loss": lambda board: board.set_loss(0, 1500.0),
    "upload": lambda board: board.upload(0, StoredTable(((0, 2000), (9, 4000)), ())),
}


@pytest.mark.parametrize("way", _WAYS_TO_MOVE)
def test_a_barred_board_refuses_every_request_that_could_move_a_needle(way: str) -> None:
    line = _Line()
    board = _board(line)
    board.barred.set()
    with pytest.raises(Stopped, match="the needle is relaxed"):
        _WAYS_TO_MOVE[way](board)
    assert line.moved == []


def test_a_request_that_nobody_knows_yet_is_barred_too() -> None:
    line = _Line()
    board = _board(line)
    board.barred.set()
    with pytest.raises(Stopped):
        board.link.ask("sweep", 0)
    assert line.asked == []


def test_a_barred_board_can_still_be_looked_at_relaxed_and_given_its_limits_back() -> None:
    line = _Line()
    board = _board(line)
    board.barred.set()
    board.status(0), board.limits(0), board.set_limits(0, 1100.0, 1900.0), board.set_loss(0, None)
    board.alive()
    board.relax()
    assert line.asked[-1] == "relax"


def test_no_movement_slips_in_between_the_look_at_the_bar_and_the_relaxing() -> None:
    line = _Line()
    board = _board(line)

    def stop() -> None:
        board.barred.set()
        relax_at_once(board)

    line.on["limits"] = stop  # `move` has begun and asks for the unit of the channel first
    with pytest.raises(Stopped):
        board.move(0, 1500.0)
    assert line.moved == []


def test_a_stop_in_the_middle_of_a_movement_relaxes_after_it_and_not_before() -> None:
    line = _Line()
    board = _board(line)
    relaxing = threading.Thread(target=relax_at_once, args=(board,))

    def stop() -> None:
        board.barred.set()
        relaxing.start()
        relaxing.join(0.2)  # would be through by now if it did not wait its turn

    line.on["move"] = stop
    board.move(0, 1500.0)
    relaxing.join()
    assert line.asked[-2:] == ["move 0 3000", "relax"]


@pytest.fixture
def bench(panel: Panel, qtbot: Any) -> Iterator[Bench]:
    bench = Bench()
    setting = Setting(channel=0, clockwise_with_command=True, widest=(1000.0, 2000.0))
    with qtbot.waitSignal(bench.joined, timeout=30_000):
        bench.join("virtual:?seed=4", panel.instruments[0], setting, ())
    yield bench
    bench.shut_down()


def _once(bench: Bench, signal: Any, do: Any) -> None:
    """Do something at the first signal, on the thread that sends it."""
    done: list[bool] = []

    def act(*_: object) -> None:
        if not done:
            done.append(True)
            do()

    signal.connect(act, Qt.ConnectionType.DirectConnection)


def _command(bench: Bench) -> float:
    assert bench._board is not None
    return bench._board.status(0).command


@pytest.mark.slow
def test_a_stop_while_a_request_is_being_set_up_is_not_taken_back_by_it(bench: Bench, qtbot: Any) -> None:
    _once(bench, bench.busy_changed, bench.stop)
    with qtbot.waitSignal(bench.refused, timeout=30_000) as refused:
        bench.seek(1700.0)
    assert isinstance(refused.args[0], Stopped)
    assert _command(bench) == 0.0  # none since the start
    bench.seek(1600.0)  # asked for after the stop: it may
    qtbot.waitUntil(lambda: _command(bench) == 1600.0, timeout=30_000)


@pytest.mark.slow
def test_a_request_after_a_stop_gives_nothing_back_to_the_ones_before_it(bench: Bench, qtbot: Any) -> None:
    states: list[Any] = []
    bench.state_changed.connect(states.append)

    def stop_and_ask_again() -> None:
        bench.stop()
        bench.seek(1550.0)

    # the search for the range has just begun, and the user stops it and asks for something else at once
    _once(bench, bench.state_changed, stop_and_ask_again)
    bench.find_range((-45.0, 45.0))
    qtbot.waitUntil(lambda: bool(states) and states[-1].command == 1550.0, timeout=30_000)
    assert states[-1].limits is None
    assert {state.command for state in states} == {None, 1550.0}


@pytest.mark.slow
def test_a_stop_keeps_the_verdicts_and_the_letting_go_that_wait(bench: Bench, qtbot: Any) -> None:
    held = threading.Event()
    _once(bench, bench.busy_changed, held.wait)
    bench.seek(1700.0)
    with qtbot.waitSignal(bench.parted, timeout=30_000):
        bench.part()
        bench.stop()
        held.set()
    assert not bench.is_joined


@pytest.mark.slow
def test_a_stop_while_the_port_is_opening_bars_what_the_opening_wants_to_move(
    panel: Panel, qtbot: Any
) -> None:
    bench = Bench()
    boards: list[Any] = []
    bench.joined.connect(lambda _: boards.append(bench._board), Qt.ConnectionType.DirectConnection)
    _once(bench, bench.busy_changed, bench.stop)
    setting = Setting(channel=0, clockwise_with_command=True, widest=(1000.0, 2000.0))
    with qtbot.waitSignal(bench.joined, timeout=30_000):
        bench.join("virtual:?seed=4", panel.instruments[0], setting, ())
    assert boards[0].barred.is_set()
    bench.shut_down()
