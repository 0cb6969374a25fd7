"""Where values come from: the newest of each name, and a count of all that went wrong."""

import io
import math
import os
import socket

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.errors import InputError, OutputError
from gaugecore.feed.feed import Channel, FeedCounters
from gaugecore.feed.lines import LineFeed
from gaugecore.feed.message import LONGEST_BYTES
from gaugecore.feed.open_feed import Playing, open_feed
from gaugecore.feed.recording import (
    RecordedFeed,
    RecordingFeed,
    parse_recording,
    read_recording,
)
from gaugecore.feed.signal import SHAPES, SignalFeed
from gaugecore.feed.udp import SENDER_KEPT_S, UdpFeed

DIAL = Channel(name="fuel", low=0.0, high=100.0, stops=(0.0, 25.0, 100.0))


class Clock:
    """A clock that is set by hand."""

    def __init__(self):
        self.now_s = 1000.0

    def __call__(self):
        return self.now_s


# Datagrams


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def feed(clock):
    feed = UdpFeed("127.0.0.1", 0, clock=clock)
    yield feed
    feed.close()


@pytest.fixture
def sender():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
        one.bind(("127.0.0.1", 0))
        yield one


def send(sender, feed, *contents):
    for content in contents:
        sender.sendto(content, ("127.0.0.1", feed.port))


def test_the_newest_value_of_each_name_wins(feed, sender):
    send(sender, feed, b"rudder=1 fuel=5", b'{"rudder": 2}', b"rudder=3")
    arrival = feed.poll(1.0)
    assert arrival.values == {"rudder": 3.0, "fuel": 5.0}
    assert arrival.at_s == 1000.0
    assert feed.counters == FeedCounters(taken=3, superseded=2)
    assert feed.poll(0.0).values == {}


def test_what_cannot_be_used_is_counted_and_passed_over(feed, sender):
    send(sender, feed, b"x", b"a=1" + b" " * LONGEST_BYTES, b"", b"\xff", b"a=1")
    assert feed.poll(1.0).values == {"a": 1.0}
    assert (feed.counters.taken, feed.counters.malformed, feed.counters.oversized) == (1, 3, 1)


def test_numbered_datagrams_that_are_late_doubled_or_missing_are_noticed(feed, sender):
    for number, value in ((5, 50), (6, 60), (6, 61), (4, 40), (9, 90)):
        send(sender, feed, b"seq=%d a=%d" % (number, value))
    assert feed.poll(1.0).values == {"a": 90.0}
    counters = feed.counters
    assert (counters.taken, counters.doubled, counters.late, counters.missing) == (3, 1, 1, 2)


def test_a_sender_that_begins_anew_is_followed(feed, sender):
    send(sender, feed, b"seq=90000 a=1", b"seq=1 a=2")
    assert feed.poll(1.0).values == {"a": 2.0}


def test_somebody_else_is_not_listened_to_while_the_sender_speaks(feed, sender, clock):
    send(sender, feed, b"a=1")
    feed.poll(1.0)
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        send(other, feed, b"a=666")
        assert feed.poll(0.5).values == {}
        assert feed.counters.foreign == 1
        clock.now_s += SENDER_KEPT_S
        send(other, feed, b"a=2")
        assert feed.poll(1.0).values == {"a": 2.0}
        send(sender, feed, b"a=3")
        assert feed.poll(0.5).values == {}


def test_garbage_from_somebody_else_does_not_make_it_the_sender(feed, sender):
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        send(other, feed, b"garbage")
        send(sender, feed, b"a=1")
        assert feed.poll(1.0).values == {"a": 1.0}


def test_it_listens_on_this_machine_unless_asked():
    here = open_feed("udp://:0", [])
    everywhere = open_feed("udp://0.0.0.0:0", [])
    try:
        assert isinstance(here, UdpFeed)
        assert isinstance(everywhere, UdpFeed)
        assert (here.host, here.is_open_to_others) == ("127.0.0.1", False)
        assert everywhere.is_open_to_others
    finally:
        here.close()
        everywhere.close()


def test_a_port_in_use_is_said_so(feed):
    with pytest.raises(InputError, match="cannot listen for datagrams"):
        UdpFeed("127.0.0.1", feed.port)


@pytest.mark.parametrize("host", ["a" * 70, "ä" * 70, "a..b", "a\0b"])
def test_a_host_that_cannot_be_is_said_so(host):
    with pytest.raises(InputError, match="cannot listen for datagrams"):
        UdpFeed(host, 0)


# Lines


def until_ended(feed):
    values = {}
    while not feed.ended:
        values |= feed.poll(1.0).values
    return values


def test_lines_are_read_until_they_end():
    lines = b'rudder=1\n\nnonsense\n{"rudder": 2, "fuel": 3}\n' + b"x" * 3 * LONGEST_BYTES + b"\nfuel=4"
    feed = LineFeed(io.BytesIO(lines))
    assert until_ended(feed) == {"rudder": 2.0, "fuel": 4.0}
    counters = feed.counters
    assert (counters.taken, counters.malformed, counters.oversized) == (3, 1, 1)


def test_a_line_is_there_as_soon_as_it_is_written():
    ours, theirs = os.pipe()
    with os.fdopen(ours, "rb") as stream, os.fdopen(theirs, "wb", buffering=0) as writer:
        feed = LineFeed(stream)
        writer.write(b"a=1\n")
        assert feed.poll(10.0).values == {"a": 1.0}
        writer.write(b"a=2\n")
        assert feed.poll(10.0).values == {"a": 2.0}
        writer.close()
        assert until_ended(feed) == {}


# Recordings


TEXT = "# a trip\ntime_s,rudder,fuel\n0,1,10\n1,2,\n2.5,3,9\n"


def play(clock, **how):
    return RecordingFeed(parse_recording(TEXT, where="x.csv"), clock=clock, **how)


def test_a_recording_plays_in_time(clock):
    feed = play(clock)
    assert feed.poll(0.0).values == {"rudder": 1.0, "fuel": 10.0}
    clock.now_s += 0.9
    assert feed.poll(0.0).values == {}
    clock.now_s += 0.2
    arrival = feed.poll(0.0)
    assert (arrival.values, arrival.at_s) == ({"rudder": 2.0}, 1001.0)
    assert not feed.ended
    clock.now_s += 5
    assert feed.poll(0.0).values == {"rudder": 3.0, "fuel": 9.0}
    assert feed.ended


def test_it_plays_faster_from_the_middle_and_over_again(clock):
    feed = play(clock, speed=2.0, start_s=1.5, loop=True)
    assert feed.poll(0.0).values == {"rudder": 2.0, "fuel": 10.0}
    clock.now_s += 0.5
    # the end of one round is the beginning of the next
    assert feed.poll(0.0).values == {"rudder": 1.0, "fuel": 10.0}
    for _ in range(1000):
        clock.now_s += 1.25
        assert feed.poll(0.0).values == {"rudder": 1.0, "fuel": 10.0}
    assert not feed.ended


def test_seeking_gives_the_row_in_force(clock):
    feed = play(clock)
    feed.poll(0.0)
    feed.seek(2.0)
    assert feed.poll(0.0).values == {"rudder": 2.0}
    feed.seek(0.0)
    assert feed.poll(0.0).values == {"rudder": 1.0, "fuel": 10.0}
    feed.seek(99.0)
    assert feed.poll(0.0).values == {"rudder": 3.0, "fuel": 9.0}


@pytest.mark.parametrize("how", [{"speed": 0.0}, {"speed": math.nan}, {"start_s": 9.0}, {"start_s": -1.0}])
def test_how_it_cannot_be_played(clock, how):
    with pytest.raises(InputError, match="cannot be played like this"):
        play(clock, **how)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "header"),
        ("rudder,fuel\n1,2\n", "header, found 'rudder,fuel'; accepted: time_s,NAME"),
        ("time_s\n1\n", "header"),
        ("time_s,a,a\n1,2,3\n", "header"),
        ("time_s,a\n", "no rows"),
        ("time_s,a\n0,1\n1,x\n", "row 2: column a, found 'x'"),
        ("time_s,a\n0,1\n1,inf\n", "row 2: column a"),
        ("time_s,a\n1,1\n0,1\n", "row 2, column time_s, found '0'; accepted: times that never fall"),
        ("time_s,a\n,1\n", "row 1, column time_s"),
        ("time_s,a\n0,1,2\n", "row 1: 3 cells; accepted: 2"),
        ('time_s,a\n0,"1\n', "not CSV"),
    ],
)
def test_a_recording_that_is_none_says_where(text, message):
    with pytest.raises(InputError, match=message.replace(".", r"\.")):
        parse_recording(text, where="x.csv")


def test_a_file_that_is_not_there_or_not_text(tmp_path):
    with pytest.raises(InputError, match="cannot read the recording"):
        read_recording(tmp_path / "none.csv")
    (tmp_path / "b.csv").write_bytes(b"\xff\xfe")
    with pytest.raises(InputError, match="not UTF-8"):
        read_recording(tmp_path / "b.csv")


@given(
    st.lists(
        st.dictionaries(st.sampled_from(["a", "b"]), st.floats(-1e6, 1e6), min_size=1),
        min_size=1,
        max_size=20,
    )
)
def test_what_is_recorded_plays_again(tmp_path_factory, given_values):
    class Given:
        counters, ended = FeedCounters(), False

        def __init__(self):
            self.left = list(enumerate(given_values))

        def poll(self, wait_s):
            from gaugecore.feed.feed import Arrival

            number, values = self.left.pop(0)
            return Arrival(values, 50.0 + number)

        def close(self):
            pass

    path = tmp_path_factory.mktemp("r") / "r.csv"
    feed = RecordedFeed(Given(), path, ["a", "b"])
    for values in given_values:
        assert feed.poll(0.0).values == values
        # whole rows at any moment: a killed program leaves what can be played
        read_recording(path)
    feed.close()
    recording = read_recording(path)
    assert recording.times_s == tuple(map(float, range(len(given_values))))
    for row, values in zip(recording.rows, given_values, strict=True):
        for name, value in zip(recording.names, row, strict=True):
            assert math.isnan(value) if name not in values else value == pytest.approx(values[name], rel=1e-9)


def test_a_recording_never_replaces_a_file(tmp_path, clock):
    path = tmp_path / "r.csv"
    path.write_text("mine")
    with pytest.raises(OutputError, match="cannot record"):
        RecordedFeed(play(clock), path, ["rudder"])
    assert path.read_text() == "mine"


class SmallDisk:
    """A file on a disk with room for so many bytes more: what does not fit is cut off, then refused."""

    def __init__(self, file, room):
        self.file, self.room = file, room
        self.truncate, self.close = file.truncate, file.close

    def write(self, content):
        if self.room == 0:
            raise OSError(28, "No space left on device")
        fitting = content[: self.room]
        self.room -= len(fitting)
        return self.file.write(fitting)


@pytest.mark.parametrize("room", [0, 1, 8, 12])
def test_a_full_disk_ends_the_recording_with_its_last_whole_row_and_not_the_feed(tmp_path, clock, room):
    feed = RecordedFeed(play(clock), tmp_path / "r.csv", ["rudder"])
    assert feed.poll(0.0).values["rudder"] == 1.0
    feed._file = SmallDisk(feed._file, room)
    clock.now_s += 1.0
    assert feed.poll(0.0).values["rudder"] == 2.0
    clock.now_s += 1.5
    assert feed.poll(0.0).values["rudder"] == 3.0
    assert "the recording ends here (No space left on device)" in str(feed.failure)
    feed.close()
    assert set(read_recording(tmp_path / "r.csv").rows) <= {(1.0,), (2.0,)}


def test_a_value_that_two_dials_listen_to_is_recorded_once_and_plays_again(tmp_path, clock):
    feed = RecordedFeed(play(clock), tmp_path / "r.csv", ["rudder", "rudder"])
    feed.poll(0.0)
    feed.close()
    assert read_recording(tmp_path / "r.csv").names == ("rudder",)


# The signal generator


@pytest.mark.parametrize("shape", SHAPES)
def test_a_signal_stays_in_its_range_and_uses_it(shape):
    feed = SignalFeed([DIAL], shape, period_s=4.0)
    seen = [feed.at(step * 0.02)["fuel"] for step in range(20_000)]
    assert 0.0 <= min(seen) <= 10.0
    assert 90.0 <= max(seen) <= 100.0


def test_its_shapes_are_what_they_say():
    def at(shape, time_s):
        return SignalFeed([DIAL], shape, period_s=4.0).at(time_s)["fuel"]

    assert [at("sine", t) for t in (0, 1, 2, 3)] == pytest.approx([0, 50, 100, 50])
    assert [at("ramp", t) for t in (0, 1, 2, 3)] == pytest.approx([0, 50, 100, 50])
    assert [at("steps", t) for t in (0, 4, 8, 12, 16)] == [0.0, 25.0, 100.0, 25.0, 0.0]


def test_a_walk_has_the_spread_and_memory_of_its_process():
    """Ornstein-Uhlenbeck: variance 1, autocorrelation exp(-t/T) (textbook; from memory)."""
    feed = SignalFeed([Channel(name="a", low=0.0, high=4.0)], "walk", period_s=1.0, seed=3)
    seen = [feed.at(0.0)["a"] - 2.0 for _ in range(200_000)]
    mean = sum(seen) / len(seen)
    # clipping at two standard deviations takes a little off the variance: 0.7385 + 4·0.0455 of it are left
    variance = sum((x - mean) ** 2 for x in seen) / len(seen)
    assert variance == pytest.approx(0.921, abs=0.06)
    later = sum((a - mean) * (b - mean) for a, b in zip(seen, seen[50:], strict=False)) / len(seen) / variance
    assert later == pytest.approx(math.exp(-1.0), abs=0.06)


def test_it_gives_values_fifty_times_a_second(clock):
    feed = SignalFeed([DIAL], "sine", clock=clock)
    given_values = 0
    for _ in range(200):
        clock.now_s += 0.005
        given_values += bool(feed.poll(0.0).values)
    assert given_values == pytest.approx(50, abs=1)


@pytest.mark.parametrize(("shape", "period_s"), [("square", 1.0), ("sine", 0.0), ("sine", math.nan)])
def test_a_signal_that_is_none_is_refused(shape, period_s):
    with pytest.raises(InputError, match="no such signal"):
        SignalFeed([DIAL], shape, period_s=period_s)


# By name


@pytest.mark.parametrize(
    "url",
    ["", "tcp://x:1", "udp:", "udp://", "udp://host", "udp://:99999", "udp:/x:1", "signal:square",
     "signal:sine?period=x", "signal:sine?phase=1", "none.csv"],
)  # fmt: skip
def test_a_name_that_is_no_feed_is_refused(url):
    with pytest.raises(InputError):
        open_feed(url, [DIAL])


def test_feeds_by_name(tmp_path):
    path = tmp_path / "r.csv"
    path.write_text(TEXT)
    assert isinstance(open_feed(str(path), [DIAL], Playing(speed=2.0)), RecordingFeed)
    assert isinstance(open_feed("signal:steps?period=2&seed=4", [DIAL]), SignalFeed)
