"""What the board does when the traffic stops is the user's to say, and stays in the board."""

import pytest

from gaugecore.errors import InputError
from gaugecore.panel.silence import Silence, parse_silence, store_silence
from tests.board.boards import a_board
from tests.panel.test_driver import an_instrument, drive


def stored(*words, watchdog_s=None):
    with a_board("pace=1000&channels=2") as board:
        driver = drive(board, [an_instrument(n) for n in range(2)])
        board.set_loss(0, 1500)
        board.set_loss(1, 1600)
        store_silence(driver, parse_silence(watchdog_s, words))
        return [board.loss(0), board.loss(1)], board.watchdog_s()


def test_what_is_not_said_stays_as_it_is():
    assert stored() == ([1500.0, 1600.0], 1.0)
    assert stored("dial-1=relax") == ([1500.0, None], 1.0)
    assert stored(watchdog_s=2.5) == ([1500.0, 1600.0], 2.5)


def test_all_dials_or_one_relax_or_park():
    assert stored("relax")[0] == [None, None]
    assert stored("1700.5", "dial-0=relax")[0] == [None, 1700.5]
    # the low end of the scale, -75°, coming down on it: 1500 + 750 + 5 µs
    assert stored("home")[0] == [2255.0, 2255.0]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["2400"], r"dial-0: where to park, found 2400.*690 to 2310"),
        (["dial-1=600"], r"dial-1: where to park, found 600"),
        (["dial-7=relax"], r"no such dial is driven, found 'dial-7'; accepted: dial-0, dial-1"),
        (["=relax"], "which dial"),
        (["stop"], "what the needle does, found 'stop'; accepted: relax, home, or a command"),
        (["nan"], "what the needle does"),
        (["-1"], "what the needle does"),
    ],
)
def test_what_no_needle_can_do_is_refused_and_nothing_is_stored(words, message):
    with a_board("pace=1000&channels=2") as board:
        driver = drive(board, [an_instrument(n) for n in range(2)])
        with pytest.raises(InputError, match=message):
            store_silence(driver, parse_silence(5.0, words))
        assert (board.loss(0), board.loss(1), board.watchdog_s()) == (None, None, 1.0)


@pytest.mark.parametrize("watchdog_s", [0.0, 0.09, 61.0, float("nan")])
def test_a_watchdog_time_no_board_keeps_is_refused(watchdog_s):
    with pytest.raises(InputError, match=r"the watchdog time.*0.1 to 60 seconds"):
        parse_silence(watchdog_s, [])


def test_nothing_said_asks_nothing_of_the_board():
    assert parse_silence(None, []) == Silence()
