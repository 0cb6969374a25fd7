"""Live values move the needles, and where they go is where the dial says."""

import threading
import time

import numpy as np
import pytest

from gaugecore.board.board import Board
from gaugecore.calibration.result import Fit, Knots, Reversal
from gaugecore.errors import FitError, InputError, PortError, RefusedError
from gaugecore.face.scale import LinearScale
from gaugecore.feed.damping import Damping
from gaugecore.feed.feed import Arrival, FeedCounters
from gaugecore.panel.document import Calibration, RawInput, Session
from gaugecore.panel.driven_dial import DrivenDial, driven_dials
from gaugecore.panel.driver import Driver
from gaugecore.panel.starter import starter_panel
from tests.board.boards import QUICK, MemoryWire, a_board, serving


def a_fit(reversal_deg=1.0):
    """A straight drive: 1500 µs at 0°, 10 µs to a degree against the clock, and some slack."""
    angles = np.linspace(-80, 80, 33)
    half_us = 10.0 * reversal_deg / 2
    return Fit(
        kind="servo",
        command_range=(690.0, 2310.0),
        angle_range_deg=(-80.0, 80.0),
        knots=Knots(
            angle_deg=tuple(angles),
            command_up=tuple(1500.0 - 10.0 * angles - half_us),
            command_down=tuple(1500.0 - 10.0 * angles + half_us),
            standard_uncertainty_deg=(0.1,) * 33,
        ),
        reversal_deg=Reversal(value=reversal_deg, standard_uncertainty=0.1),
        repeatability_deg=None,
    )


def an_instrument(number=0, *, damping=None, fit=True, field=""):
    base = starter_panel("Test").instruments[0]
    return base.model_copy(
        update={
            "id": f"dial-{number}",
            "raw": RawInput(low=0, high=1000, low_value=0.0, high_value=100.0, field=field),
            "face": base.face.model_copy(
                update={"scale": LinearScale(low_value=0.0, high_value=100.0, low_deg=-75.0, high_deg=75.0)}
            ),
            "damping": damping or Damping(),
            "calibration": Calibration(sessions=(Session(fit=a_fit()),) if fit else ()),
        }
    )


class Scripted:
    """A feed that brings what it is told to, one arrival a look."""

    def __init__(self, *arrivals):
        self.left = list(arrivals)
        self.counters = FeedCounters()

    @property
    def ended(self):
        return not self.left

    def poll(self, wait_s):
        return Arrival(self.left.pop(0), time.monotonic()) if self.left else Arrival()

    def close(self):
        pass


# One dial


def test_a_raw_value_becomes_the_command_of_its_angle():
    dial = DrivenDial(an_instrument(), 0)
    assert dial.command(0.0) is None
    for raw, angle_deg in ((0, -75.0), (500, 0.0), (1000, 75.0)):
        dial.take(raw)
        # arriving clockwise: the command of the way up
        assert dial.command(0.02) == pytest.approx(1500 - 10 * angle_deg - 5)
        assert dial.angle_deg == pytest.approx(angle_deg)


def test_off_its_range_it_stays_at_the_end():
    dial = DrivenDial(an_instrument(), 0)
    dial.take(1e300)
    dial.command(0.0)
    assert dial.angle_deg == pytest.approx(75.0)
    dial.take(-1e300)
    dial.command(0.02)
    assert dial.angle_deg == pytest.approx(-75.0)


def test_the_map_of_the_other_way_is_taken_once_it_really_turns_back():
    dial = DrivenDial(an_instrument(), 0)  # 1° of reversal: turning back by 0.25° counts
    up = [dial.command_at(angle) for angle in (0.0, 10.0, 9.9, 10.0)]
    assert up == pytest.approx([1495.0, 1395.0, 1396.0, 1395.0])
    assert dial.command_at(9.7) == pytest.approx(1403.0 + 5.0)
    assert dial.command_at(9.8) == pytest.approx(1402.0 + 5.0)
    assert dial.command_at(10.2) == pytest.approx(1398.0 - 5.0)


def test_it_listens_to_its_field_or_its_id():
    assert DrivenDial(an_instrument(field="ship/fuel"), 0).listens_to.name == "ship/fuel"
    listens = DrivenDial(an_instrument(3), 0).listens_to
    assert (listens.name, listens.low, listens.high, listens.stops) == ("dial-3", 0.0, 1000.0, (0.0, 1000.0))


def test_the_same_map_as_the_fit_gives():
    instrument = an_instrument()
    dial = DrivenDial(instrument, 0)
    from gaugecore.calibration.readings import Direction

    fit = instrument.calibration.fit
    assert fit is not None
    angles = np.linspace(-75, 75, 301)
    assert [dial.command_at(angle) for angle in angles] == pytest.approx(
        fit.commands(angles, Direction.UP).tolist()
    )


def test_dials_without_a_fit_are_left_out_by_name():
    panel = starter_panel("Test").model_copy(
        update={"instruments": (an_instrument(0, fit=False), an_instrument(1))}
    )
    dials, waiting = driven_dials(panel)
    assert [(dial.id, dial.channel) for dial in dials] == [("dial-1", 1)]
    assert waiting == ("dial-0",)
    with pytest.raises(FitError, match="none can be driven"):
        driven_dials(panel.model_copy(update={"instruments": (an_instrument(0, fit=False),)}))
    with pytest.raises(FitError, match=r"instruments\.dial-0\.calibration"):
        DrivenDial(an_instrument(0, fit=False), 0)


# Several dials on a board


def drive(board, instruments, *arrivals, set_limits=True, check=True):
    dials = [DrivenDial(one, channel) for channel, one in enumerate(instruments)]
    driver = Driver(board, dials, Scripted(*arrivals))
    driver._period_s = 0.0  # one arrival a round, however fast
    if check:
        driver.check_board(set_limits=set_limits)
    return driver


def commands(board):
    return [board.status(channel).command for channel in range(board.identity.channels)]


def test_needles_point_where_their_values_say():
    with a_board("pace=1000&channels=3") as board:
        driver = drive(board, [an_instrument(n) for n in range(3)], {"dial-0": 500, "dial-2": 0})
        driver.round()
        assert commands(board) == [1495.0, 0.0, 2245.0]
        assert board.status(1).state == "relaxed"
        assert [dial.command for dial in driver.state().dials] == [1495.0, None, 2245.0]


def test_one_request_moves_neighbours_and_nothing_is_sent_twice():
    with a_board("pace=1000&channels=12") as board:
        values = {f"dial-{n}": 500 for n in range(12)}
        driver = drive(board, [an_instrument(n) for n in range(12)], values, values, values | {"dial-9": 600})
        for requests in (2, 2, 3):
            driver.round()
            assert driver.state().requests == requests


def test_two_dials_may_listen_to_one_value():
    with a_board("pace=1000&channels=2") as board:
        driver = drive(board, [an_instrument(n, field="x") for n in range(2)], {"x": 0})
        driver.round()
        assert commands(board) == [2245.0, 2245.0]


def test_at_the_end_needles_go_home_and_relax():
    with a_board("pace=1000&channels=2") as board:
        driver = drive(board, [an_instrument(n) for n in range(2)], {"dial-0": 300, "dial-1": 10})
        board.set_loss(1, 900)
        driver.run(threading.Event())
        # home is the low end of the scale, coming down on it; a stored park command comes first
        assert commands(board) == [2255.0, 900.0]
        assert board.status(0).state == board.status(1).state == "relaxed"


def test_it_stops_when_told_to_and_parks_even_when_something_breaks():
    class Broken(Scripted):
        def poll(self, wait_s):
            raise ZeroDivisionError

    with a_board("pace=1000") as board:
        driver = drive(board, [an_instrument()], {"dial-0": 20})
        driver.round()
        driver.feed = Broken({})
        with pytest.raises(ZeroDivisionError):
            driver.run(threading.Event())
        assert board.status(0).state == "relaxed"
        stop = threading.Event()
        stop.set()
        driver.run(stop)


def test_a_silent_feed_is_held_on_to_and_said_so():
    with a_board("pace=1000") as board:
        driver = drive(board, [an_instrument()], {"dial-0": 500}, {}, {})
        driver.round()
        driver.round()
        assert driver.state().silent_s > 0
        assert board.status(0).state == "still"


def test_damping_goes_on_between_values():
    with a_board("pace=1000") as board:
        driver = drive(
            board,
            [an_instrument(damping=Damping(most_deg_per_s=1000))],
            {"dial-0": 0},
            {"dial-0": 1000},
            *[{}] * 60,
        )
        seen = []
        for _ in range(62):
            driver.round()
            time.sleep(0.003)
            seen.append(driver.dials[0].angle_deg)
        assert seen[0] == -75.0
        assert -75.0 < seen[5] < 75.0
        assert seen[-1] == 75.0
        assert (np.diff(seen) >= 0).all()


@pytest.mark.slow
def test_a_reset_board_gets_its_needles_back():
    with serving("pace=1000&channels=1") as server, Board.open(server.url, patience=QUICK) as board:
        driver = drive(board, [an_instrument()], {"dial-0": 500}, *[{}] * 5)
        driver.round()
        server.board.restart(time.monotonic())
        board.alive()
        assert board.status(0).state == "relaxed"
        driver.round()
        assert board.status(0).command == 1495.0
        server.hang_up()
        for _ in range(4):
            driver.round()
        assert driver.state().trouble == ""


def test_a_pulled_cable_is_waited_for(monkeypatch):
    with a_board("pace=1000") as board:
        board.link._patience = QUICK.__class__(request_s=0.05)
        driver = drive(board, [an_instrument()], *[{"dial-0": value} for value in range(0, 1000, 50)])
        troubles = []

        def after_round():
            troubles.append(driver.state().trouble)
            MemoryWire.plugged = not 3 < len(troubles) < 6

        monkeypatch.setattr(MemoryWire, "plugged", True)
        driver.run(threading.Event(), on_round=after_round)
        assert any("cable is pulled" in trouble for trouble in troubles)
        assert troubles[-1] == ""


def test_limits_that_are_too_narrow_are_refused_or_set():
    with a_board("pace=1000") as board:
        dial = DrivenDial(an_instrument(), 0)
        driver = Driver(board, [dial], Scripted())
        with pytest.raises(InputError, match=r"too narrow for dial-0.*1000 to 2000.*: 690 to 2310"):
            driver.check_board()
        driver.check_board(set_limits=True)
        assert board.limits(0).low == 690.0
        with pytest.raises(InputError, match="channel 1, which the board does not have"):
            Driver(board, [DrivenDial(an_instrument(), 1)], Scripted()).check_board()


def test_a_board_that_refuses_ends_the_drive():
    with a_board("pace=1000") as board:
        driver = drive(board, [an_instrument()], {"dial-0": 0})
        board.set_limits(0, 1400, 1600)
        with pytest.raises(RefusedError, match="outside the limits"):
            driver.run(threading.Event())


@pytest.mark.parametrize("rate_hz", [0.0, 1e6, float("nan")])
def test_a_rate_that_is_none_is_refused(rate_hz):
    with a_board() as board, pytest.raises(InputError, match="rounds a second"):
        Driver(board, [], Scripted(), rate_hz=rate_hz)


def test_memory_does_not_grow_with_days():
    """A day at 50 rounds a second is 4.3 million; what is kept is bounded, so a few thousand show it."""
    with a_board("pace=1000") as board:
        driver = drive(board, [an_instrument()])
        driver._latencies_ms.extend(range(50_000))
        assert len(driver._latencies_ms) == 10_000
        assert driver.state().latency_worst_ms == 49_999


def test_a_board_out_of_reach_at_the_end_does_not_hold_up_the_end(monkeypatch):
    with a_board("pace=1000") as board:
        board.link._patience = QUICK.__class__(request_s=0.05)
        driver = drive(board, [an_instrument()], {"dial-0": 0})
        driver.round()
        monkeypatch.setattr(MemoryWire, "plugged", False)
        driver.park()
        with pytest.raises(PortError):
            board.alive()
