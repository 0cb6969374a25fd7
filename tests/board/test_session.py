"""The calibration session, over boards of every mood."""

import contextlib
import dataclasses
import math
import threading
import time
from types import SimpleNamespace

import numpy as np
import pytest

from gaugecore.board.board import Board
from gaugecore.board.motion import Manner, Mover
from gaugecore.board.range_finder import MARGIN_DEG, find_range
from gaugecore.board.serial_link import open_link
from gaugecore.board.session import CAUTION, Doing, Session, Setting, take_readings
from gaugecore.calibration.readings import Direction, Held, read_readings
from gaugecore.errors import BoardError, InputError, OutputError, PortError, ReadingsError
from tests.board.boards import QUICK, MemoryWire, a_board, on_tcp, serving

ARC = (-70.0, 70.0)


def setting(**changes):
    usual = {
        "channel": 0,
        "clockwise_with_command": False,
        "widest": (600.0, 2400.0),
        "readings": 9,
    }
    return Setting(**(usual | changes))


def eye_of(board):
    return lambda: board.eye_deg(0)


def test_a_whole_session_from_finding_the_range_to_the_last_reading(tmp_path):
    out = tmp_path / "r.csv"
    states = []
    with a_board() as board:
        with Session(board, setting(out=out, cycles=2), on_change=states.append) as session:
            low, high = find_range(session, eye_of(board), arc_deg=ARC)
            readings = take_readings(session, eye_of(board))
        assert board.status(0).state == "relaxed"
        assert (board.limits(0).low, board.limits(0).high) == (low, high)
    assert len(readings) == 18
    assert read_readings(out) == readings
    assert {reading.cycle for reading in readings} == {1, 2}
    assert {state.doing for state in states} == set(Doing)
    angles = [reading.angle_deg for reading in readings]
    # the ends of the dial lie inside the readings
    assert min(angles) <= ARC[0]
    assert max(angles) >= ARC[1]
    for reading in readings:
        # nominal line of the needle: 90° at 600 µs, -90° at 2400 µs; the worst drawn servo is some 15° off it
        assert reading.angle_deg == pytest.approx(90 - (reading.command - 600) / 10, abs=15)


@pytest.mark.parametrize("clockwise", [True, False])
def test_every_target_is_reached_from_the_side_it_asks_for(clockwise):
    needle = "600,2400,-90,90" if clockwise else "600,2400,90,-90"
    with a_board(f"pace=1000&needle={needle}") as board:
        sent = _watch_commands(board)
        with Session(board, setting(clockwise_with_command=clockwise)) as session:
            session.set_range(900, 2100)
            while session.state.target is not None:
                target = session.state.target
                session.approach()
                rising = (target.direction is Direction.UP) == clockwise
                before, last = sent[-2:]
                assert last == target.command
                if rising:
                    assert last - before >= 40 or before == 900
                else:
                    assert before - last >= 40 or before == 2100
                session.record(0.0)


def _watch_commands(board):
    sent = []
    original = board.move

    def move(channel, *commands):
        sent.extend(commands)
        return original(channel, *commands)

    board.move = move
    return sent


def test_slack_shows_in_the_readings_as_reversal():
    """The servo's truth is known: slack and dead band together, within the eye's whole degrees."""
    with a_board("pace=1000&seed=11") as board:
        servo = board.link._open_wire().board.channels[0].movement
        character = servo.character
        with Session(board, setting(readings=60)) as session:
            session.set_range(900, 2100)
            readings = take_readings(session, lambda: board.truth_deg(0))
    up = [(r.command, r.angle_deg) for r in readings if r.direction is Direction.UP]
    down = sorted((r.command, r.angle_deg) for r in readings if r.direction is Direction.DOWN)
    at = [command for command, _ in up if down[0][0] <= command <= down[-1][0]]
    middle = np.interp(at, *zip(*down, strict=True))
    gap = np.mean(middle - [angle for command, angle in up if command in at])
    expected = character.slack_deg + character.dead_band_us * abs(character.gain * 0.1)
    assert gap == pytest.approx(expected, rel=0.15)


def test_a_jog_keeps_the_side_and_makes_the_angle_the_held_one():
    with a_board() as board:
        sent = _watch_commands(board)
        with Session(board, setting()) as session:
            session.set_range(900, 2100)
            here = session.approach()
            target = session.state.target
            assert target is not None
            rising = session.rising(target.direction)
            assert session.jog(-10 if rising else 10) == here + (-10 if rising else 10)
            # against the side of the approach it goes back past the place and comes again
            assert abs(sent[-2] - sent[-1]) >= 40
            reading = session.record(-55.0, note="on the mark")
            assert (reading.held, reading.note) == (Held.ANGLE, "on the mark")
            session.approach()
            assert session.record(-50.0).held is Held.COMMAND


def test_undo_takes_back_the_reading_and_its_target(tmp_path):
    out = tmp_path / "r.csv"
    with a_board() as board, Session(board, setting(out=out)) as session:
        assert session.undo() is None
        session.set_range(900, 2100)
        session.approach()
        session.record(1.0)
        session.skip()
        session.approach()
        session.record(2.0)
        assert session.state.at == 3
        undone = session.undo()
        assert undone is not None
        assert undone.angle_deg == 2.0
        assert session.state.at == 2
        assert [r.angle_deg for r in read_readings(out)] == [1.0]
        session.undo()
        assert session.state.at == 0


def test_a_reading_can_be_left_out_with_a_reason(tmp_path):
    out = tmp_path / "r.csv"
    with a_board() as board, Session(board, setting(out=out)) as session:
        session.set_range(900, 2100)
        session.approach()
        session.record(1.0)
        session.exclude(1, "bumped the table")
        assert read_readings(out)[0].excluded == "bumped the table"
        session.exclude(1, "")
        assert read_readings(out)[0].excluded == ""
        session.stand_by(1, "looked twice")
        assert read_readings(out)[0].kept == "looked twice"
        with pytest.raises(InputError, match="no such row, found 2"):
            session.exclude(2, "x")


@pytest.mark.parametrize(
    ("text", "says"),
    [("bumped\tit", "text on one line without control characters"), ("x" * 300, "at most 200 characters")],
)
def test_a_remark_that_cannot_be_kept_is_refused_in_a_sentence_and_costs_no_reading(text, says):
    with a_board() as board, Session(board, setting()) as session:
        session.set_range(900, 2100)
        session.approach()
        with pytest.raises(InputError, match=f"the note must .*{says}"):
            session.record(1.0, note=text)
        session.record(1.0)
        with pytest.raises(InputError, match=f"the reason must .*{says}"):
            session.exclude(1, text)
        assert [reading.excluded for reading in session.state.readings] == [""]


def test_an_earlier_sitting_is_gone_on_with():
    with a_board() as board:
        with Session(board, setting()) as session:
            session.set_range(900, 2100)
            session.approach()
            session.record(1.0)
            first = session.state
        with Session(board, setting()) as session:
            session.set_range(*session.stored_range(), first.readings)
            assert session.state.at == 1
            assert session.state.targets == first.targets
            assert len(take_readings(session, lambda: 0.0)) == 9


def test_a_sitting_that_left_targets_out_goes_on_after_its_last_one():
    with a_board() as board:
        with Session(board, setting()) as session:
            session.set_range(900, 2100)
            session.skip()
            session.approach()
            session.jog(25.0)
            session.record(1.0)
            session.skip()
            session.approach()
            session.record(2.0)
            taken, targets = session.state.readings, session.state.targets
        with Session(board, setting()) as session:
            session.set_range(*session.stored_range(), taken)
            assert session.state.target == targets[4]
            session.undo()
            assert session.state.target == targets[3]


@pytest.mark.parametrize(
    ("other", "limits"),
    [
        ({"readings": 11}, (900, 2100)),
        ({}, (950, 2100)),
        ({"clockwise_with_command": True}, (900, 2100)),
    ],
)
def test_readings_of_another_plan_are_refused_and_the_board_keeps_its_limits(other, limits):
    with a_board() as board:
        with Session(board, setting()) as session:
            session.set_range(900, 2100)
            for _ in range(3):
                session.approach()
                session.record(1.0)
            taken = session.state.readings
        before = board.limits(0)
        with Session(board, setting(**other)) as session:
            with pytest.raises(ReadingsError, match=r"row \d of the readings .* none of this plan, found"):
                session.set_range(*limits, taken)
            assert session.state.readings == ()
        assert board.limits(0) == before


def test_a_needle_nobody_asks_anything_of_is_let_go_and_wakes_again():
    states = []
    with a_board() as board, Session(board, setting(idle_s=0.2), on_change=states.append) as session:
        session.set_range(900, 2100)
        session.approach()
        assert board.status(0).state == "still"
        for _ in range(200):
            if session.state.dozing:
                break
            time.sleep(0.02)
        assert board.status(0).state == "relaxed"
        assert states[-1].dozing
        with pytest.raises(InputError, match="it was let go when nothing was asked"):
            session.record(1.0)
        assert session.approach() == session.state.targets[0].command
        assert not session.state.dozing
        session.record(1.0)
        assert len(session.state.readings) == 1


def test_letting_go_does_not_undo_what_is_said_at_the_same_time(monkeypatch):
    shows_that_it_dozes = threading.Event()

    def slowly(state, **changes):
        changed = dataclasses.replace(state, **changes)
        if changes.get("dozing"):
            shows_that_it_dozes.set()
            time.sleep(0.2)
        return changed

    monkeypatch.setattr("gaugecore.board.session.replace", slowly)
    with a_board() as board, Session(board, setting(idle_s=0.1)) as session:
        session.set_range(900, 2100)
        session.approach()
        session.record(1.0)
        session.approach()
        assert shows_that_it_dozes.wait(5.0)
        session.exclude(1, "bumped the table")
        assert session.state.readings[0].excluded == "bumped the table"
        assert session.state.dozing


def test_a_needle_that_is_at_work_is_not_let_go():
    with a_board() as board, Session(board, setting(idle_s=0.4)) as session:
        session.set_range(900, 2100)
        for _ in range(12):
            session.approach()
            time.sleep(0.05)
        assert not session.state.dozing
        assert board.status(0).state == "still"


def test_the_needle_relaxes_whatever_happens():
    with a_board() as board:
        with pytest.raises(ZeroDivisionError):
            _fall_over_in_the_middle(board)
        assert board.status(0).state == "relaxed"


def _fall_over_in_the_middle(board):
    with Session(board, setting()) as session:
        session.set_range(900, 2100)
        session.approach()
        assert board.status(0).state == "still"
        raise ZeroDivisionError


def test_limits_widened_while_seeking_are_put_back_when_no_range_came_of_it():
    with a_board() as board:
        with Session(board, setting()) as session:
            session.seek(700)
            session.seek(2300)
            assert (board.limits(0).low, board.limits(0).high) == (700, 2300)
        assert (board.limits(0).low, board.limits(0).high) == (1000, 2000)


def test_limits_are_put_back_even_when_the_needle_does_not_relax(monkeypatch):
    def refuse(channel=None):
        raise BoardError("no")

    with a_board() as board:
        with Session(board, setting()) as session:
            session.seek(2300)
            monkeypatch.setattr(board, "relax", refuse)
        assert (board.limits(0).low, board.limits(0).high) == (1000, 2000)


def test_limits_widened_after_a_range_was_set_are_put_back_to_it():
    with a_board() as board:
        with Session(board, setting()) as session:
            session.set_range(900, 2100)
            session.seek(2300)
        assert (board.limits(0).low, board.limits(0).high) == (900, 2100)


def test_nothing_is_ever_sent_beyond_what_the_movement_may_get():
    with a_board() as board, Session(board, setting()) as session:
        assert session.seek(300) == 600
        assert session.seek(9999) == 2400
        with pytest.raises(InputError, match=r"safe range.*600 to 2400"):
            session.set_range(500, 2400)
        with pytest.raises(InputError, match="safe range"):
            session.set_range(2000, 1000)
        with pytest.raises(InputError, match="safe range"):
            session.set_range(math.nan, 1000)


@pytest.mark.parametrize("angle_deg", [math.nan, math.inf, 1e6])
def test_a_reading_that_is_no_angle_is_refused(angle_deg):
    with a_board() as board, Session(board, setting()) as session:
        session.set_range(900, 2100)
        with pytest.raises(InputError, match="not at a target"):
            session.record(0.0)
        session.approach()
        with pytest.raises(InputError, match="dial angle"):
            session.record(angle_deg)
        assert session.state.readings == ()


def test_what_is_out_of_turn_is_refused():
    with a_board() as board, Session(board, setting()) as session:
        with pytest.raises(InputError, match="range is not set"):
            session.approach()
        session.set_range(900, 2100)
        take_readings(session, lambda: 0.0)
        with pytest.raises(InputError, match="all targets are done"):
            session.approach()


def test_a_channel_the_board_lacks_is_refused_at_once():
    with a_board() as board, pytest.raises(InputError, match="no such channel, found 1; accepted: 0"):
        Session(board, setting(channel=1))


def test_a_file_that_cannot_be_written_costs_no_reading(tmp_path):
    folder = tmp_path / "gone"
    folder.mkdir()
    with a_board() as board, Session(board, setting(out=folder / "r.csv")) as session:
        session.set_range(900, 2100)
        session.approach()
        folder.rmdir()
        with pytest.raises(OutputError):
            session.record(1.0)
        assert session.state.unsaved
        folder.mkdir()
        session.approach()
        session.record(2.0)
        assert not session.state.unsaved
        assert [r.angle_deg for r in read_readings(folder / "r.csv")] == [1.0, 2.0]


def test_a_dead_board_raises_and_the_session_goes_on_when_it_is_back(monkeypatch, tmp_path):
    out = tmp_path / "r.csv"
    with a_board() as board, Session(board, setting(out=out)) as session:
        session.set_range(900, 2100)
        session.approach()
        session.record(1.0)
        monkeypatch.setattr(MemoryWire, "plugged", False)
        object.__setattr__(board.link, "_patience", QUICK.__class__(request_s=0.2))
        with pytest.raises(PortError, match="cable is pulled"):
            session.approach()
        assert session.state.doing is Doing.READY
        assert [r.angle_deg for r in read_readings(out)] == [1.0]
        monkeypatch.setattr(MemoryWire, "plugged", True)
        assert len(take_readings(session, lambda: 2.0)) == 9


@pytest.mark.slow
def test_a_hundred_pulled_cables_cost_no_reading(tmp_path):
    """A hundred unplug-replug cycles in one calibration."""
    out = tmp_path / "r.csv"
    with (
        serving("pace=1000&seed=3") as server,
        contextlib.closing(open_link(server.url, patience=QUICK)) as link,
    ):
        board = Board(link)
        pulled = 0
        with Session(board, setting(out=out, readings=50, cycles=2)) as session:
            session.set_range(900, 2100)
            while session.state.doing is not Doing.DONE:
                server.hang_up()
                pulled += 1
                session.approach()
                session.record(board.eye_deg(0))
                assert read_readings(out) == session.state.readings
    assert pulled == 100
    assert link.counters.reconnections >= 100
    assert len(session.state.readings) == 100


@pytest.mark.slow
@pytest.mark.parametrize("faults", ["reset=0.03", "brownout=0.05", "drop=0.03,corrupt=0.03,garbage=0.05"])
def test_a_bad_line_changes_no_reading(faults):
    """The truth at each target is what a perfect line gives, within the servo's own repeatability."""

    def truths(query):
        with on_tcp(query) as link:
            board = Board(link)
            with Session(board, setting(readings=7)) as session:
                session.set_range(900, 2100)
                take_readings(session, lambda: board.truth_deg(0))
            return [(r.command, r.direction, r.angle_deg) for r in session.state.readings]

    good = truths("pace=1000&seed=8")
    bad = truths(f"pace=1000&seed=8&misbehave={faults}")
    assert [row[:2] for row in bad] == [row[:2] for row in good]
    # repeatability of the drawn servos is at most 1.5 µs or 0.16°; six of them between two draws
    assert [row[2] for row in bad] == pytest.approx([row[2] for row in good], abs=1.0)


def test_a_needle_that_always_falls_back_is_given_up_with_a_sentence():
    with a_board() as board:
        device = board.link._open_wire().board
        original = device.channels[0].move

        def move(command, now_s, **how):
            original(command, now_s, **how)
            device.channels[0].relax(now_s)

        device.channels[0].move = move
        with Session(board, setting()) as session:
            session.set_range(900, 2100)
            with pytest.raises(BoardError, match="does not stay where it is put"):
                session.approach()


@pytest.mark.parametrize("seed", range(12))
def test_the_range_stays_inside_the_stops_and_covers_the_dial_where_it_can(seed):
    with a_board(f"pace=1000&seed={seed}&needle=600,2400,80,-80") as board:
        character = board.link._open_wire().board.channels[0].movement.character
        with Session(board, setting()) as session:
            low, high = find_range(session, eye_of(board), arc_deg=ARC)
        ends = character.shaft_deg(high), character.shaft_deg(low)
        reach = character.shaft_deg(2400), character.shaft_deg(600)
        slop = character.slack_deg + 1.0
        assert 600 <= low < high <= 2400
        assert ends[0] <= max(ARC[0] - MARGIN_DEG, reach[0]) + slop
        assert ends[1] >= min(ARC[1] + MARGIN_DEG, reach[1]) - slop


def test_a_stop_inside_the_range_is_found_and_kept_clear_of():
    with a_board("pace=1000&seed=2") as board:
        servo = board.link._open_wire().board.channels[0].movement
        servo.character = _with(servo.character, stop_high_us=2000.0, stop_low_us=850.0)
        with Session(board, setting()) as session:
            low, high = find_range(session, eye_of(board), arc_deg=(-85.0, 85.0))
        assert 850 <= low <= 950
        assert 1900 <= high <= 2000


def _with(character, **changes):
    from dataclasses import replace

    return replace(character, **changes)


def test_a_needle_that_does_not_follow_is_said_so():
    with a_board() as board, Session(board, setting()) as session:
        with pytest.raises(InputError, match="does not follow the commands"):
            find_range(session, lambda: 12.0, arc_deg=ARC)


def test_a_real_board_is_moved_in_small_steps():
    with a_board() as board:
        sent = _watch_commands(board)
        manner = Manner(step=10.0, step_every_s=0.0, settle_s=0.0)
        with Session(board, setting(), manner=manner) as session:
            session.set_range(900, 2100)
            session.approach()
            session.record(0.0)
            session.approach()
    assert max(abs(np.diff(sent))) <= 10.0


class Clock:
    """Time that passes only where it is slept away."""

    now_s = 0.0

    def monotonic(self):
        return self.now_s

    def sleep(self, for_s):
        self.now_s += for_s


class Homing:
    """A board whose stepper takes so long to home, by a clock."""

    def __init__(self, clock, takes_s):
        self.clock, self.until_s = clock, takes_s
        self.link = SimpleNamespace(name="here")
        self.identity = SimpleNamespace(virtual=False)

    def home(self, channel):
        self.until_s += self.clock.now_s

    def status(self, channel):
        return SimpleNamespace(state="moving" if self.clock.now_s < self.until_s else "still")


def test_a_slow_stepper_of_several_turns_is_given_the_time_to_home_and_a_stuck_one_is_not(monkeypatch):
    clock = Clock()
    monkeypatch.setattr("gaugecore.board.motion.time", clock)
    slow = Mover(Homing(clock, 3 * 4096 * 17 / 16 / 150), 0)
    assert slow.home() == 0.0
    assert slow.at == 0.0
    with pytest.raises(BoardError, match="channel 0 does not come to rest"):
        Mover(Homing(clock, math.inf), 0).home()


def test_the_caution_names_what_can_hurt():
    for word in ("fingers", "wires", "supply", "local", "aircraft"):
        assert word in CAUTION
