"""The virtual board keeps to the protocol."""

import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.board.messages import LineReader, frame
from gaugecore.board.misbehaviour import Imp, Misbehaviour
from gaugecore.board.stored_table import StoredTable
from gaugecore.board.virtual_options import VirtualOptions
from gaugecore.errors import InputError


class Talker:
    """Asks a board, with numbers and a clock of its own."""

    def __init__(self, channels=3, greet=True):
        self.board = VirtualOptions(channels=channels).board(Imp(Misbehaviour(), 1))
        self.number, self.now_s = 0, 0.0
        if greet:
            self.ask("hello 1")

    def ask(self, words):
        self.number += 1
        answer = self.board.answer(f"{self.number} {words}", self.now_s)
        assert answer is not None
        number, rest = answer.split(" ", 1)
        assert int(number) == self.number
        return rest

    @property
    def commands(self):
        return [channel.last_command for channel in self.board.channels]


@pytest.fixture
def talk():
    return Talker()


def test_before_it_is_greeted_it_does_nothing():
    talk = Talker(greet=False)
    for words in ("move 0 3000", "alive", "limits 0 600 6000", "nonsense"):
        assert talk.ask(words) == "no hello"
    assert talk.ask("hello 1") == "ok 1 virtual 3 needlewright-virtual-1"
    assert talk.ask("move 0 3000") == "ok"


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("dance 0", "no verb"),
        ("move 0", "no words"),
        ("move 0 03000", "no words"),
        ("move 0 3000.5", "no words"),
        ("move 0 -3000", "no words"),
        ("move 0 70000", "no words"),
        ("move 3 3000", "no channel"),
        ("move 2 3000 3000", "no channel"),
        ("move 0 3000 4001", "no limit 2000 4000"),
        ("move 0 1999", "no limit 2000 4000"),
        ("move 0 1 2 3 4 5 6 7 8 9", "no words"),
        ("limits 0 599 4000", "no range 600 6000"),
        ("limits 0 4000 2000", "no range 600 6000"),
        ("limits 0 2000", "no words"),
        ("loss 0 park 4001", "no limit 2000 4000"),
        ("loss 0 park", "no words"),
        ("loss 0 hold", "no words"),
        ("watchdog 99", "no range 100 60000"),
        ("raw 0 100", "no table"),
        ("home 0", "no kind"),
        ("begin 0 513", "no space 512"),
        ("begin 0 0", "no space 512"),
        ("block 0 0 FF", "no upload"),
        ("commit 0 00000000", "no upload"),
        ("commit 0 FF", "no words"),
        ("hello", "no words"),
        ("relax 3", "no channel"),
        ("status 0 1", "no words"),
    ],
)
def test_what_it_refuses_it_does_not_do(talk, words, answer):
    assert talk.ask(words) == answer
    assert talk.commands == [0, 0, 0]
    assert talk.ask("counters").split()[5] == "1"


def test_of_several_commands_none_is_sent_when_one_is_refused(talk):
    assert talk.ask("move 0 3000 3000 5000").startswith("no limit")
    assert talk.commands == [0, 0, 0]
    assert talk.ask("move 0 3000 3100 3200") == "ok"
    assert talk.commands == [3000, 3100, 3200]


def test_limits_are_kept_and_a_needle_outside_new_ones_is_relaxed(talk):
    assert talk.ask("limits 1 1200 4800") == "ok servo 1200 4800 600 6000"
    talk.ask("move 1 4800")
    assert talk.ask("limits 1 1200 4700") == "ok servo 1200 4700 600 6000"
    assert talk.ask("status 1") == "ok relaxed 4800"


def test_a_repeated_request_is_answered_again_and_not_carried_out_again(talk):
    line = "2 move 0 3000"
    assert talk.board.answer(line, 0.0) == "2 ok"
    talk.board.channels[0].last_command = 1  # would be overwritten if it were carried out
    assert talk.board.answer(line, 0.0) == "2 ok"
    assert talk.commands[0] == 1
    assert talk.board.counts["repeated"] == 1
    refused = "3 move 0 9"
    assert talk.board.answer(refused, 0.0) == talk.board.answer(refused, 0.0) == "3 no limit 2000 4000"


@pytest.mark.parametrize("body", ["1 move 0 3000", "2 move 0 2999", "4 move 0 3000", "65535 move 0 3000"])
def test_a_request_out_of_order_is_neither_done_nor_answered(talk, body):
    talk.ask("alive")
    assert talk.board.answer(body, 0.0) is None
    assert talk.commands == [0, 0, 0]
    assert talk.board.counts["bad"] == 1
    assert talk.ask("alive") == "ok"


def test_after_65535_comes_1(talk):
    talk.board.answer("65535 hello 1", 0.0)
    assert talk.board.answer("1 alive", 0.0) == "1 ok"


def test_without_traffic_it_relaxes(talk):
    talk.ask("move 0 3000")
    talk.now_s = 0.9
    talk.ask("alive")
    talk.board.tick(1.8)
    assert talk.board.channels[0].powered
    talk.board.tick(2.0)
    assert not talk.board.channels[0].powered
    talk.now_s = 2.1
    assert talk.ask("status 0") == "ok relaxed 3000"
    assert talk.ask("counters").split()[-1] == "1"


def test_without_traffic_it_parks_if_told_to_and_inside_its_limits(talk):
    assert talk.ask("loss 0 park 2200") == "ok park 2200"
    talk.ask("limits 0 2500 4000")
    talk.ask("watchdog 500")
    talk.ask("move 0 3000 3000")
    talk.board.tick(0.6)
    talk.now_s = 5.0
    assert talk.ask("status 0") == "ok still 2500"
    assert talk.ask("status 1") == "ok relaxed 3000"
    assert talk.ask("loss 1") == "ok relax 0"


def test_the_watchdog_rests_when_nothing_is_driven(talk):
    talk.ask("move 0 3000")
    talk.ask("relax")
    talk.board.tick(50.0)
    assert talk.board.counts["lost"] == 0


def test_a_restart_relaxes_and_keeps_what_is_stored(talk):
    talk.ask("limits 0 1200 4800")
    talk.ask("move 0 1200")
    talk.board.restart(1.0)
    assert talk.ask("move 0 3000") == "no hello"
    talk.ask("hello 1")
    assert talk.ask("status 0") == "ok relaxed 0"
    assert talk.ask("limits 0") == "ok servo 1200 4800 600 6000"


TABLE = StoredTable(((0, 2000), (1000, 4000)), ((0, 2100), (1000, 4000))).to_bytes()
CRC = f"{zlib.crc32(TABLE):08X}"


def upload(talk, content=TABLE, crc=CRC):
    talk.ask(f"begin 0 {len(content)}")
    for start in range(0, len(content), 10):
        assert talk.ask(f"block 0 {start} {content[start : start + 10].hex().upper()}") == "ok"
    return talk.ask(f"commit 0 {crc}")


def test_a_table_is_stored_in_the_slot_that_is_not_active(talk):
    assert talk.ask("table 0") == "ok - 0 00000000 512"
    assert upload(talk) == "ok 0"
    assert talk.ask("table 0") == f"ok 0 {len(TABLE)} {CRC} 512"
    assert upload(talk) == "ok 1"
    assert talk.ask(f"commit 0 {CRC}") == "ok 1"  # asked again after a lost answer
    assert upload(talk) == "ok 0"


def test_raw_values_go_through_the_branch_of_their_way(talk):
    upload(talk)
    for raw, command in ((500, 3000), (400, 2860), (400, 2860), (500, 3000)):
        assert talk.ask(f"raw 0 {raw}") == "ok"
        assert talk.commands[0] == command


def test_a_table_s_command_outside_the_limits_is_refused(talk):
    upload(talk)
    talk.ask("limits 0 2500 4000")
    assert talk.ask("raw 0 0") == "no limit 2500 4000"
    assert talk.commands[0] == 0
    # and the refused value has not turned the direction round
    assert talk.ask("raw 0 500") == "ok"
    assert talk.commands[0] == 3000


@pytest.mark.parametrize(
    ("content", "crc", "answer"),
    [
        (TABLE, "00000000", f"no crc {CRC}"),
        (b"\x02" + TABLE[1:], None, "no table"),
        (TABLE[:-1], None, "no table"),
        (bytes(20), None, "no table"),
    ],
)
def test_a_table_that_is_not_right_leaves_the_old_one(talk, content, crc, answer):
    upload(talk)
    assert upload(talk, content, crc or f"{zlib.crc32(content):08X}") == answer
    assert talk.ask("table 0") == f"ok 0 {len(TABLE)} {CRC} 512"


def test_a_restart_in_the_middle_of_an_upload_leaves_the_old_table(talk):
    upload(talk)
    talk.ask("begin 0 20")
    talk.ask("block 0 0 0102")
    talk.board.restart(1.0)
    talk.ask("hello 1")
    assert talk.ask("block 0 2 03") == "no upload"
    assert talk.ask("table 0") == f"ok 0 {len(TABLE)} {CRC} 512"


@pytest.mark.parametrize("block", ["1 FF", "0 " + "FF" * 21, "0 F", "0 ff", "0 GG"])
def test_blocks_come_in_order_and_within_the_length(talk, block):
    talk.ask("begin 0 20")
    assert talk.ask(f"block 0 {block}") in ("no upload", "no words")


verbs = st.sampled_from("hello alive limits loss watchdog move raw relax status block commit eye x".split())
arguments = st.one_of(
    st.integers(-5, 7000).map(str), st.sampled_from(["park", "relax", "-", "FF", "65535", "00", "1.5"])
)
requests = st.tuples(verbs, st.lists(arguments, max_size=10)).map(lambda pair: " ".join([pair[0], *pair[1]]))


@given(st.lists(requests, max_size=30))
def test_whatever_is_asked_no_command_outside_the_limits_is_ever_sent(asked):
    talk = Talker()
    for words in asked:
        talk.now_s += 0.05
        talk.ask(words)
        for channel in talk.board.channels:
            stored = channel.storage
            assert not channel.powered or stored.low <= channel.last_command <= stored.high
            assert 600 <= stored.low <= stored.high <= 6000


@given(st.lists(st.binary(max_size=100), max_size=10))
def test_no_bytes_that_are_no_line_move_anything(pieces):
    talk, reader = Talker(), LineReader()
    for piece in pieces:
        for body in reader.feed(piece):
            talk.board.answer(body, 0.0)
    assert talk.commands == [0, 0, 0]
    assert not any(channel.powered for channel in talk.board.channels)


@given(st.text(max_size=80))
def test_no_body_makes_it_fall_over(text):
    board = Talker().board
    body = text.encode("ascii", "ignore").decode()
    answer = board.answer(body, 0.0)
    assert answer is None or frame(answer)


def test_the_options_come_back_from_their_query():
    text = "seed=7&channels=3&pace=20.0&slips=0.1&misbehave=drop=0.01,stall=0.5&needle=600,2400,-100,100"
    options = VirtualOptions.parse(text)
    assert options.misbehaviour == Misbehaviour(drop=0.01, stall=0.5)
    assert VirtualOptions.parse(options.query()) == options


@pytest.mark.parametrize(
    "query",
    ["sead=1", "seed=x", "channels=0", "channels=1e9", "pace=nan", "needle=1,2", "needle=a,b,c,d", "slips=2",
     "misbehave=drop", "misbehave=drip=1", "misbehave=drop=2", "misbehave=drop=nan"],
)  # fmt: skip
def test_options_that_make_no_sense_are_refused_with_what_is_accepted(query):
    with pytest.raises(InputError, match="accepted"):
        VirtualOptions.parse(query)
