"""What every link does, whatever wire is under it."""

import contextlib
import socket
import subprocess
import sys
import threading
import time

import pytest

from gaugecore.board.board import Board
from gaugecore.board.link import Link, Patience
from gaugecore.board.messages import frame
from gaugecore.board.serial_link import open_link
from gaugecore.board.stored_table import StoredTable
from gaugecore.board.virtual_options import VirtualOptions
from gaugecore.board.virtual_process import VirtualProcess
from gaugecore.board.virtual_server import VirtualServer
from gaugecore.errors import (
    BoardError,
    InputError,
    NoAnswerError,
    PortError,
    ProtocolError,
    RefusedError,
)
from tests.board.boards import QUICK, WAYS, a_board, on_tcp, serving
from tests.board.link_contract import LinkContract


@pytest.fixture(params=WAYS)
def board(request):
    with WAYS[request.param]("pace=1000&channels=3") as link:
        yield Board(link)


class TestContract(LinkContract):
    """The contract, on every wire to a virtual board."""


# What only a virtual board does


def test_it_says_who_it_is(board):
    assert board.identity.virtual
    assert board.identity.channels == 3


def test_the_eye_sees_the_needle(board):
    board.move(0, 1500)
    while board.status(0).state == "moving":
        pass
    assert board.eye_deg(0) == pytest.approx(board.truth_deg(0), abs=1.5)


# A wire that fails


FAULTS = [
    "drop=0.2",
    "corrupt=0.15",
    "duplicate=0.5",
    "cut=0.15",
    "garbage=0.3",
    "reset=0.15",
    "hangup=0.2",
    "delay=0.2,delay_s=0.07",
    "brownout=0.3",
    "drop=0.05,corrupt=0.05,duplicate=0.2,cut=0.05,garbage=0.1,reset=0.03",
]


@pytest.mark.slow
@pytest.mark.parametrize("faults", FAULTS)
def test_whatever_the_line_does_the_answers_are_right(faults):
    with on_tcp(f"pace=1000&seed=5&misbehave={faults}") as link:
        board = Board(link)
        for command in range(1000, 1015):
            assert board.move(0, command) == (command,)
            status = board.status(0)
            # a board that was reset is relaxed and has forgotten; it never says anything else
            assert status.command in (command, 0)
            assert status.command == command or status.state == "relaxed"
        with pytest.raises(RefusedError):
            board.move(0, 2500)
    counted = link.counters
    assert counted.repeats + counted.stale_answers + counted.restarts + counted.reconnections > 0


def test_a_pulled_cable_is_opened_again_and_the_board_greeted():
    with serving() as server, contextlib.closing(open_link(server.url, patience=QUICK)) as link:
        board = Board(link)
        for command in (1100, 1200, 1300):
            server.hang_up()
            assert board.move(0, command) == (command,)
        assert link.counters.reconnections == 3


def test_a_board_that_comes_back_later_is_found():
    with serving() as first:
        port = first.port
        link = open_link(first.url, patience=QUICK)
    with contextlib.closing(link):
        found = []

        def ask():
            found.append(link.ask("alive"))

        asking = threading.Thread(target=ask)
        asking.start()
        time.sleep(0.3)
        with serving(port=port):
            asking.join(10)
        assert found == [()]


def test_a_reset_is_noticed_and_the_request_carried_out_after_a_greeting():
    with serving() as server, contextlib.closing(open_link(server.url, patience=QUICK)) as link:
        board = Board(link)
        board.move(0, 1500)
        server.board.restart(time.monotonic())
        assert board.move(0, 1600) == (1600,)
        assert link.counters.restarts == 1
        assert link.counters.reconnections == 0


def test_a_board_that_never_answers_is_given_up_with_a_sentence():
    with socket.create_server(("127.0.0.1", 0)) as deaf:
        url = f"socket://127.0.0.1:{deaf.getsockname()[1]}"
        with pytest.raises(NoAnswerError, match="does not answer; accepted: a board with the bench firmware"):
            open_link(url, patience=Patience(answer_s=0.05, connect_s=0.3))


def test_the_usual_patience_leaves_time_to_say_so_within_five_seconds():
    # the terminal's contract: exit 3 within 5 s; the program itself takes half a second to start
    usual = Patience()
    assert usual.connect_s + usual.answer_s <= 4.0
    assert usual.request_s + usual.tries * usual.answer_s <= 5.5


@pytest.mark.parametrize(
    "url", ["/dev/no-such-port", "socket://127.0.0.1:1", "socket://nowhere", "gopher://x:1", ""]
)
def test_a_port_that_cannot_be_opened_is_named(url):
    with pytest.raises(PortError, match="cannot open the port"):
        open_link(url, patience=QUICK)


def test_the_options_of_a_virtual_board_are_checked_before_it_starts():
    with pytest.raises(InputError, match="no such option"):
        open_link("virtual:?sead=3")


def test_an_echo_is_no_board():
    # pyserial's loop:// gives back what it gets
    with pytest.raises(NoAnswerError):
        open_link("loop://", patience=Patience(answer_s=0.05, connect_s=0.2))


class Scripted:
    """A wire that says what it is told to, once for each line written."""

    def __init__(self, *said):
        self.said = list(said)
        self.coming = b""

    def write(self, data):
        if data != b"\n" and self.said:
            self.coming += self.said.pop(0)

    def read(self, wait_s):
        coming, self.coming = self.coming, b""
        return coming

    def close(self):
        pass


@pytest.mark.parametrize(
    ("greeting", "message"),
    [
        ("1 ok 2 real 1 x", "another version.*found 2"),
        ("1 ok 1 robot 1 x", "greeting makes no sense"),
        ("1 ok 1 real 0 x", "greeting makes no sense"),
        ("1 ok", "greeting makes no sense"),
        ("1 no verb", "greeting makes no sense"),
    ],
)
def test_a_greeting_that_is_not_understood_is_refused(greeting, message):
    link = Link(lambda: Scripted(frame(greeting)), name="x", patience=QUICK)
    with pytest.raises(ProtocolError, match=message):
        link.connect()


def test_answers_to_other_requests_are_passed_over():
    late = frame("7 ok still 1") + frame("1 hello 1")
    link = Link(lambda: Scripted(late + frame("1 ok 1 real 1 x")), name="x", patience=QUICK)
    assert link.connect().name == "x"
    assert link.counters.stale_answers == 2


@pytest.mark.parametrize("answer", ["2 ok", "2 ok sleeping 1", "2 ok still x"])
def test_an_answer_that_makes_no_sense_is_a_protocol_error(answer):
    link = Link(
        lambda: Scripted(frame("1 ok 1 real 1 x"), frame(answer), frame("3 ok servo 1 2 3 4")),
        name="x",
        patience=QUICK,
    )
    link.connect()
    with pytest.raises(ProtocolError, match="makes no sense"):
        Board(link).status(0)


def test_a_closed_link_says_so():
    with on_tcp() as link:
        link.close()
        with pytest.raises(PortError, match="closed"):
            link.ask("alive")


@pytest.mark.slow
def test_the_watchdog_is_kept_alive_in_the_background():
    with on_tcp() as link:
        board = Board(link)
        board.set_watchdog(0.15)
        board.move(0, 1500)
        with board.kept_alive():
            time.sleep(0.4)
            assert board.status(0).state == "still"
        time.sleep(0.4)
        assert board.status(0).state == "relaxed"
        assert board.counters().lost == 1


def test_a_board_outlives_a_caller_that_is_gone_before_it_is_let_in(monkeypatch):
    accept = socket.socket.accept
    gone = [ConnectionAbortedError(103, "Software caused connection abort")]

    def accept_the_next(listener):
        if gone:
            raise gone.pop()
        return accept(listener)

    monkeypatch.setattr(socket.socket, "accept", accept_the_next)
    with serving() as server, Board.open(server.url, patience=QUICK) as board:
        assert board.identity.channels == 1
    assert gone == []


def test_an_upload_that_a_reset_broke_is_begun_again():
    with a_board() as board:
        table = StoredTable(tuple((i, 2000 + i) for i in range(20)))
        device = board.link._open_wire().board
        original, blocks = device.channels[0].block, []

        def block(offset, content):
            blocks.append(offset)
            if len(blocks) == 2:
                device.restart(0.0)
            original(offset, content)

        device.channels[0].block = block
        assert board.upload(0, table) == 0
        assert board.slot(0).length == 84


# Processes


def test_a_virtual_board_of_its_own_ends_with_the_link():
    from gaugecore.board.virtual_options import VirtualOptions

    process = VirtualProcess(VirtualOptions())
    process.end()
    assert process._process.returncode == 0
    with pytest.raises(PortError):
        open_link(process.url, patience=QUICK)


@pytest.mark.slow
def test_a_virtual_board_of_its_own_does_not_outlive_a_killed_program():
    program = (
        "import sys, time\n"
        "from gaugecore.board.virtual_process import VirtualProcess\n"
        "from gaugecore.board.virtual_options import VirtualOptions\n"
        "board = VirtualProcess(VirtualOptions())\n"
        "print(board.url, flush=True)\n"
        "time.sleep(60)\n"
    )
    with subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True) as parent:
        assert parent.stdout is not None
        url = parent.stdout.readline().strip()
        parent.kill()
    port = int(url.rpartition(":")[2])
    for _ in range(100):
        try:
            socket.create_connection(("127.0.0.1", port), 1.0).close()
        except OSError:
            return
        time.sleep(0.05)
    pytest.fail("the board still listens")


def test_a_port_in_use_is_not_shared():
    with serving() as server, pytest.raises(InputError, match="cannot listen there"):
        VirtualServer(VirtualOptions(), port=server.port)


def test_several_boards_work_side_by_side():
    with on_tcp("seed=1") as one, on_tcp("seed=2") as two:
        Board(one).move(0, 1200)
        Board(two).move(0, 1300)
        assert Board(one).status(0).command == 1200
        assert Board(two).status(0).command == 1300


def test_a_second_computer_takes_the_place_of_the_first():
    with serving() as server, contextlib.closing(open_link(server.url, patience=QUICK)) as first:
        with contextlib.closing(open_link(server.url, patience=QUICK)) as second:
            assert second.ask("alive") == ()
        assert first.ask("alive") == ()


def test_every_error_here_is_a_board_error():
    for kind in (PortError, NoAnswerError, ProtocolError, RefusedError):
        assert issubclass(kind, BoardError)
