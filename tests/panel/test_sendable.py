"""No dial is sent, by table or by drive, what its fit does not cover or its movement cannot bear."""

import numpy as np
import pytest

from gaugecore.board.board import Board
from gaugecore.errors import FitError, InputError
from gaugecore.face.scale import LinearScale
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.panel.board_table import board_table
from gaugecore.panel.document import Calibration, Session
from gaugecore.panel.driven_dial import DrivenDial
from gaugecore.panel.needle_of import widest_commands
from gaugecore.panel.sendable import check_arc, sendable_arc_deg, sendable_commands
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.table_of import table_of
from tests.board.boards import a_board, serving
from tests.panel.test_driver import a_fit, an_instrument, drive


def with_fit(instrument, **changes):
    fit = a_fit().model_copy(update=changes)
    return instrument.model_copy(update={"calibration": Calibration(sessions=(Session(fit=fit),))})


def with_arc(low_deg, high_deg, **changes):
    """A dial of which the fit covers -80° to 80°."""
    base = an_instrument()
    scale = LinearScale(low_value=0.0, high_value=100.0, low_deg=low_deg, high_deg=high_deg)
    return base.model_copy(update={"face": base.face.model_copy(update={"scale": scale}), **changes})


WEAK = Servo(pulse_min_us=900.0, pulse_max_us=2100.0)
MAKERS = (lambda one: DrivenDial(one, 0), board_table, check_arc)


def test_what_may_be_sent_lies_inside_the_fit_and_inside_the_movement():
    assert sendable_commands(an_instrument()) == (690.0, 2310.0)
    assert sendable_commands(an_instrument().model_copy(update={"movement": WEAK})) == (900.0, 2100.0)
    steps = with_fit(
        an_instrument().model_copy(update={"movement": Stepper()}), kind="stepper", command_range=(10.5, 2000)
    )
    assert sendable_commands(steps) == (11.0, 945.0)


@pytest.mark.parametrize(
    ("travel_deg", "steps_per_turn", "most"),
    [(13.0, 720.0, 26.0), (13.4, 720.0, 26.0), (315.0, 1080.0, 945.0)],
)
def test_a_stepper_is_sent_no_more_and_no_fewer_steps_than_its_travel_has(travel_deg, steps_per_turn, most):
    movement = Stepper(travel_deg=travel_deg, steps_per_turn=steps_per_turn)
    one = an_instrument().model_copy(update={"movement": movement})
    assert widest_commands(one) == (0.0, most)


def test_it_is_rounded_inwards_to_what_a_board_can_send():
    one = with_fit(an_instrument(), command_range=(690.3, 2309.9))
    assert sendable_commands(one) == (690.5, 2309.5)


def test_the_arc_is_that_of_both_directions():
    low_deg, high_deg = sendable_arc_deg(an_instrument().model_copy(update={"movement": WEAK}))
    # 10 µs a degree, and 5 µs either way for the slack
    assert (low_deg, high_deg) == pytest.approx((-59.5, 59.5))
    assert sendable_arc_deg(an_instrument()) == pytest.approx((-80.0, 80.0))


def test_a_fit_and_a_movement_that_have_nothing_in_common_are_refused():
    one = an_instrument().model_copy(update={"movement": Servo(pulse_min_us=2400, pulse_max_us=2900)})
    with pytest.raises(FitError, match=r"leave no command.*690 to 2310.*2400 to 2900"):
        DrivenDial(one, 0)


@pytest.mark.parametrize("make", MAKERS)
def test_a_scale_beyond_the_calibrated_arc_is_refused_in_one_sentence(make):
    with pytest.raises(FitError, match=r"dial-0: the scale reaches beyond the calibrated arc.*-80.* to 90"):
        make(with_arc(-80.0, 90.0))
    make(with_arc(-80.0, 80.0))


@pytest.mark.parametrize("make", MAKERS)
def test_a_scale_beyond_the_movement_s_own_limits_is_refused(make):
    with pytest.raises(FitError, match=r"beyond the movement's own limits.*745 to 2255.*900 to 2100"):
        make(an_instrument().model_copy(update={"movement": WEAK}))


@pytest.mark.parametrize("make", [*MAKERS, lambda one: table_of(starter_panel("Test"), one)])
def test_a_fit_of_another_kind_of_movement_is_refused(make):
    one = an_instrument().model_copy(update={"movement": Stepper()})
    with pytest.raises(FitError, match='another kind of movement, found "a servo\'s fit on a stepper"'):
        make(one)


@pytest.mark.parametrize(
    ("instrument", "highest_deg", "lowest_command"),
    [
        (with_arc(-80.0, 90.0), 80.0, 695.0),
        (an_instrument().model_copy(update={"movement": WEAK}), 59.5, 900.0),
    ],
)
def test_clamped_it_stops_at_the_end_and_says_where(instrument, highest_deg, lowest_command):
    dial = DrivenDial(instrument, 0, clamp=True)
    dial.take(1000)
    assert dial.command(0.0) == pytest.approx(lowest_command)
    assert dial.angle_deg == pytest.approx(highest_deg)
    table = board_table(instrument, clamp=True).stored
    sent = [table.command(raw, falls=falls) / 2 for raw in range(1001) for falls in (False, True)]
    low, high = sendable_commands(instrument)
    assert low <= min(sent)
    assert max(sent) <= high
    assert table.command(1000) / 2 == pytest.approx(lowest_command, abs=0.5)


def test_an_exported_table_of_a_stepper_keeps_to_its_travel():
    angles = np.linspace(-80, 80, 33)
    knots = a_fit().knots.model_copy(
        update={"command_up": tuple(500 + 10 * angles), "command_down": tuple(502 + 10 * angles)}
    )
    one = with_fit(
        an_instrument().model_copy(update={"movement": Stepper()}),
        kind="stepper",
        knots=knots,
        command_range=(-300.0, 1302.0),
    )
    with pytest.raises(InputError, match=r"limits are narrower.*outside 0 to 945"):
        table_of(starter_panel("Test"), one)


# On a board


def test_a_channel_of_another_kind_is_refused_before_anything_moves():
    with a_board("pace=1000&stepper=945,-90,90") as board:
        before = board.limits(0)
        with pytest.raises(InputError, match=r"channel 0 of the board drives a stepper.*accepted: a channel"):
            drive(board, [an_instrument()], {"dial-0": 500})
        assert board.limits(0) == before
        assert board.status(0).state == "relaxed"


def test_the_board_s_limits_are_never_set_beyond_what_the_dial_may_be_sent():
    with a_board("pace=1000") as board:
        board.set_limits(0, 600, 2400)
        drive(board, [an_instrument().model_copy(update={"movement": Servo(pulse_min_us=700)})])
        assert (board.limits(0).low, board.limits(0).high) == (700.0, 2310.0)


@pytest.mark.parametrize(("low", "is_enough"), [(690.0, True), (690.5, True), (691.0, False)])
def test_limits_may_be_narrower_by_one_tick_and_no_more(low, is_enough):
    with a_board("pace=1000") as board:
        board.set_limits(0, low, 2310.0)
        driver = drive(board, [an_instrument()], {"dial-0": 0}, set_limits=False, check=False)
        if is_enough:
            driver.check_board()
        else:
            with pytest.raises(InputError, match="too narrow for dial-0"):
                driver.check_board()


def test_nothing_is_sent_beyond_the_board_s_own_limits():
    """The scale's end lies a tick beyond them: it was refused as it was sent, and the drive ended."""
    one = with_arc(-75.0, 80.0)
    with a_board("pace=1000") as board:
        board.set_limits(0, 695.5, 2310.0)
        fits = with_fit(one, command_range=(695.0, 2310.0))
        driver = drive(board, [fits], {"dial-0": 1000}, set_limits=False)
        driver.round()
        assert board.status(0).command == 695.5


def test_a_park_command_outside_the_limits_of_today_is_held_to_them():
    with a_board("pace=1000") as board:
        board.set_limits(0, 600, 2400)
        board.set_loss(0, 2400)
        driver = drive(board, [an_instrument()], {"dial-0": 500})
        driver.round()
        driver.park()
        assert board.status(0).command == 2310.0
        assert driver.state().dials[0].command == 2310.0


def test_after_parking_the_report_says_where_the_needle_stands():
    with a_board("pace=1000&channels=2") as board:
        driver = drive(board, [an_instrument(n) for n in range(2)], {"dial-0": 400, "dial-1": 700})
        board.set_loss(1, 1000)
        driver.round()
        driver.park()
        home, parked = driver.state().dials
        assert home.angle_deg == -75.0
        assert home.command == board.status(0).command == 2255.0
        assert parked.command == board.status(1).command == 1000.0
        assert parked.angle_deg == pytest.approx(50.0)


def test_a_servo_s_table_is_not_put_on_a_stepper_s_channel():
    from needlewright.upload_job import UploadJob, upload

    with serving("pace=1000&stepper=945,-90,90") as server, Board.open(server.url) as board:
        with pytest.raises(InputError, match="drives a stepper"):
            upload(board, an_instrument(), 0, UploadJob(max_error=0.5))
        assert board.slot(0).active is None
