"""The line protocol as text."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.board.messages import (
    LONGEST_BODY,
    LONGEST_LINE,
    Answer,
    LineReader,
    Request,
    checksum,
    frame,
    parse_answer,
    parse_request,
    unframe,
    whole_number,
)
from gaugecore.errors import ProtocolError

words = st.text("abcdefghijklmnopqrstuvwxyz0123456789ABCDEF.-", min_size=1, max_size=12)
bodies = st.lists(words, min_size=1, max_size=8).map(" ".join).filter(lambda body: len(body) <= LONGEST_BODY)


def test_the_checksum_has_the_published_check_value():
    # CRC-16/CCITT-FALSE of "123456789": 0x29B1, crcmod/predefined.py 1.7 and crccheck/crc.py 1.3.1
    assert checksum(b"123456789") == 0x29B1
    # and of nothing: its start value
    assert checksum(b"") == 0xFFFF


def test_a_body_with_its_checksum_behind_it_has_remainder_zero():
    # property of this CRC: high byte first, appended (from memory)
    body = b"17 move 0 3000"
    assert checksum(body + checksum(body).to_bytes(2, "big")) == 0


@given(bodies)
def test_what_is_framed_comes_out_again(body):
    line = frame(body)
    assert len(line) <= LONGEST_LINE
    assert line.endswith(b"\n")
    assert unframe(line[:-1]) == body


@given(st.lists(bodies, max_size=6), st.data())
def test_lines_come_out_whole_however_the_bytes_are_cut(sent, data):
    stream = b"".join(frame(body) for body in sent)
    cuts = sorted(data.draw(st.lists(st.integers(0, len(stream)), max_size=10)))
    reader = LineReader()
    pieces = [stream[a:b] for a, b in itertools.pairwise([0, *cuts, len(stream)])]
    assert [body for piece in pieces for body in reader.feed(piece)] == sent
    assert (reader.good, reader.bad, reader.overlong) == (len(sent), 0, 0)


def test_one_byte_at_a_time_is_enough():
    reader = LineReader()
    line = frame("3 status 0")
    assert [body for byte in line for body in reader.feed(bytes([byte]))] == ["3 status 0"]


@given(st.lists(st.binary(max_size=200), max_size=20))
def test_any_bytes_in_no_exception_and_bounded_memory(pieces):
    reader = LineReader()
    for piece in pieces:
        list(reader.feed(piece))
        assert len(reader._held) < LONGEST_LINE
    # whatever came, one line feed later everything is in order again
    assert list(reader.feed(b"\n" + frame("9 alive")))[-1:] == ["9 alive"]


def test_an_overlong_run_is_dropped_whole_and_counted_once():
    reader = LineReader()
    hidden = frame("1 relax")
    list(reader.feed(b"x" * 500))
    # the end of the run looks like a line, yet it is a part of the run
    assert list(reader.feed(hidden)) == []
    assert (reader.good, reader.bad, reader.overlong) == (0, 0, 1)
    assert list(reader.feed(hidden)) == ["1 relax"]


def test_the_longest_line_passes_and_one_byte_more_does_not():
    body = "a" * LONGEST_BODY
    reader = LineReader()
    assert list(reader.feed(frame(body))) == [body]
    raw = b"a" * (LONGEST_BODY + 1)
    assert list(reader.feed(b"%s*%04X\n" % (raw, checksum(raw)))) == []
    assert reader.overlong == 1


def test_empty_lines_are_not_counted():
    reader = LineReader()
    assert list(reader.feed(b"\n\n\n")) == []
    assert (reader.good, reader.bad, reader.overlong) == (0, 0, 0)


@pytest.mark.parametrize(
    "line",
    [
        b"17 move 0 3000",
        b"17 move 0 3000*",
        b"17 move 0 3000*f203",  # lower case digits
        b"17 move 0 3000*F203 ",
        b"17 move 0 3000*F203\r",
        b" 17 move 0 3000*%04X" % checksum(b" 17 move 0 3000"),
        b"17  move 0 3000*%04X" % checksum(b"17  move 0 3000"),
        b"17 move 0 3000 *%04X" % checksum(b"17 move 0 3000 "),
        b"1 move\t0*%04X" % checksum(b"1 move\t0"),
        b"1*2*%04X" % checksum(b"1*2"),
        b"*FFFF",
        "1 µ".encode() + b"*%04X" % checksum("1 µ".encode()),
    ],
)
def test_a_line_that_is_not_exactly_right_is_no_line(line):
    assert unframe(line) is None


@pytest.mark.parametrize("body", ["", " ", "a  b", "a*b", "a\nb", "µ", "a" * (LONGEST_BODY + 1)])
def test_what_cannot_be_a_line_is_not_sent(body):
    with pytest.raises(ProtocolError, match="cannot be sent as a line"):
        frame(body)


@given(st.integers(1, 65535), words, st.lists(words, max_size=5))
def test_requests_and_answers_come_back_from_their_bodies(sequence, verb, rest):
    request = Request(sequence, verb, tuple(rest))
    assert parse_request(request.body()) == request
    answer = Answer(sequence, len(rest) % 2 == 0, tuple(rest))
    assert parse_answer(answer.body()) == answer


@pytest.mark.parametrize("body", ["0 move", "65536 move", "01 move", "-1 move", "1", "move 1", "1.0 move"])
def test_a_request_needs_a_sequence_number_and_a_verb(body):
    assert parse_request(body) is None


@pytest.mark.parametrize("body", ["1 move", "1 OK", "0 ok", "1", "ok 1"])
def test_an_answer_says_ok_or_no(body):
    assert parse_answer(body) is None


@given(words)
def test_a_number_is_taken_only_as_it_would_be_written(word):
    number = whole_number(word, -(2**31), 2**31)
    assert number is None or str(number) == word
