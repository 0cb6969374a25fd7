"""What is offered from the meter for taking over, and what is not: what cannot be, or would hide a fault."""

from __future__ import annotations

import pytest

from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.supply.budget import check_supply
from gaugecore.supply.compare import compare
from gaugecore.supply.leds import LedString
from gaugecore.supply.meter import MeterReading, State, When
from gaugecore.supply.refit import refit, withheld
from gaugecore.supply.source import Load, Supply

BOARD = Load(name="board", current_ma=70.0)
TWO = LedString(name="indicator lamp", count=2)  # 20 mA each at 5 V, 150 ohm, 2 V


def said(state: State, ma: float, only: str = "") -> MeterReading:
    return MeterReading(state=state, current_ma=ma, only=only)


def desk(*measured: MeterReading, lamps: tuple[LedString, ...] = (TWO,), apart: bool = False) -> Supply:
    return Supply(loads=(BOARD,), led_strings=lamps, measured=measured, movements_apart=apart)


def remedy(supply: Supply, movements: list[Servo]) -> str:
    (found,) = [f for f in check_supply(supply, movements) if f.rule == "measured-differs"]
    return found.remedy


def test_one_of_two_lamps_dark_is_said_and_no_forward_voltage_is_offered() -> None:
    seen = desk(said(State.ALL_OFF, 80.0), said(State.LAMP_TEST, 100.0))
    row = compare(seen, [Servo()])[1]
    assert row.suspect == "the lamps: 20.0 mA less than computed, as if one of two 'indicator lamp' were dark"
    assert refit(seen, [Servo()]) == ()
    (kept_back,) = withheld(seen, [Servo()])
    assert kept_back.after == pytest.approx(3.5)
    # white LEDs would draw the same: whoever sees both lit can still set it
    assert "Look there first" in remedy(seen, [Servo()])
    assert "forward_v of 'indicator lamp' 3.5 V" in remedy(seen, [Servo()])


def test_lamps_that_are_a_little_off_are_still_refitted() -> None:
    seen = desk(said(State.ALL_OFF, 80.0), said(State.LAMP_TEST, 80.0 + 34.0))
    (fit,) = refit(seen, [Servo()])
    assert fit.after == pytest.approx(2.45)


def test_a_lamp_more_than_stated_is_said() -> None:
    seen = desk(said(State.ALL_OFF, 80.0), said(State.LAMP_TEST, 80.0 + 60.0))
    assert compare(seen, [Servo()])[1].as_if == "as if there were three 'indicator lamp' and not two"
    assert refit(seen, [Servo()]) == ()


def test_a_string_measured_alone_that_stays_dark_is_said() -> None:
    lamp = TWO.model_copy(update={"count": 1})
    seen = desk(said(State.ALL_OFF, 80.0), said(State.ALL_OFF, 81.0, "indicator lamp"), lamps=(lamp,))
    assert compare(seen, [Servo()])[1].as_if == "as if 'indicator lamp' were dark"
    assert refit(seen, [Servo()]) == ()


def test_a_forward_voltage_that_no_led_has_is_not_offered() -> None:
    # 5 V, 150 ohm, one LED: 29 mA would be an LED of 0.65 V
    lamp = TWO.model_copy(update={"count": 1})
    seen = desk(said(State.ALL_OFF, 80.0), said(State.LAMP_TEST, 109.0), lamps=(lamp,))
    assert refit(seen, [Servo()]) == ()
    (kept_back,) = withheld(seen, [Servo()])
    assert kept_back.doubt == "an LED has 1 to 4 V"
    assert "cannot be (forward_v of 'indicator lamp' 0.65 V; an LED has 1 to 4 V)" in remedy(seen, [Servo()])


def test_something_with_a_forward_voltage_of_its_own_kind_is_left_to_the_user() -> None:
    module = LedString(
        name="lamp module", forward_v=0.7, resistor_ohm=150.0
    )  # not an LED, and the user says so
    seen = desk(said(State.ALL_OFF, 80.0), said(State.LAMP_TEST, 80.0 + 30.0), lamps=(module,))
    (fit,) = refit(seen, [Servo()])
    assert fit.after == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("n_movements", "measured_ma", "says"),
    [
        (1, 70.0, "as if '9 g class analogue servo' were not connected, or not on this supply"),
        (3, 89.0, "as if one of three movements was not connected"),
        (3, 80.0, "as if two of three movements were not connected"),
        (3, 70.0, "as if no movement were connected, or none on this supply: then set movements_apart"),
    ],
)
def test_a_servo_that_is_not_connected_is_said_and_no_idle_current_is_offered(
    n_movements: int, measured_ma: float, says: str
) -> None:
    movements = [Servo()] * n_movements
    seen = desk(said(State.ALL_OFF, measured_ma))
    assert compare(seen, movements)[0].as_if == says
    assert refit(seen, movements) == ()


def test_of_different_movements_the_one_that_is_missing_is_named() -> None:
    movements = [Stepper(), Servo(), Servo()]  # 38.4, 10 and 10 mA at rest
    assert compare(desk(said(State.ALL_OFF, 90.0)), movements)[0].as_if == (
        "as if 'gauge stepper, 315°' were not connected"
    )
    small = Load(name="board", current_ma=20.0)
    seen = desk(said(State.ALL_OFF, 68.4)).model_copy(update={"loads": (small,)})
    assert compare(seen, movements)[0].as_if == "as if '9 g class analogue servo' were not connected"


def test_a_lamp_stated_too_high_to_light_is_refitted_to_what_the_meter_says() -> None:
    lamp = TWO.model_copy(update={"forward_v": 5.5})
    seen = desk(said(State.ALL_OFF, 80.0), said(State.LAMP_TEST, 80.0 + 34.0), lamps=(lamp,))
    (fit,) = refit(seen, [Servo()])
    assert fit.after == pytest.approx(2.45)


def test_the_row_blames_what_the_refit_changes() -> None:
    movements = [Servo()] * 3
    on_servos = desk(said(State.ALL_OFF, 115.0))
    assert compare(on_servos, movements)[0].suspect == "the movements at rest: 15.0 mA more than computed"
    assert {fit.place for fit in refit(on_servos, movements)} == {f"movements.{i}.idle_ma" for i in range(3)}
    on_board = desk(said(State.ALL_OFF, 115.0), apart=True)
    assert compare(on_board, movements)[0].suspect == "'board': 45.0 mA more than computed"
    assert [fit.place for fit in refit(on_board, movements)] == ["supply.loads.0.current_ma"]


def test_a_servo_does_not_idle_at_more_than_a_servo_can() -> None:
    seen = desk(said(State.ALL_OFF, 280.0))
    assert [(fit.place, fit.after) for fit in refit(seen, [Servo()])] == [
        ("supply.loads.0.current_ma", 270.0)
    ]
    assert compare(seen, [Servo()])[0].suspect.startswith("'board'")


def test_a_servo_that_did_not_turn_or_was_held_gets_no_new_figure() -> None:
    rest = (said(State.ALL_OFF, 80.0), said(State.LAMP_TEST, 120.0))
    still = desk(*rest, said(State.ONE_MOVING, 120.0))
    assert compare(still, [Servo()])[2].as_if == "as if '9 g class analogue servo' did not turn"
    held = desk(*rest, said(State.ONE_MOVING, 120.0 + 690.0))
    assert compare(held, [Servo()])[2].as_if == "as if '9 g class analogue servo' were held fast"
    free = desk(*rest, said(State.ONE_STALLED, 120.0 + 140.0))
    assert compare(free, [Servo()])[2].as_if == "as if '9 g class analogue servo' were not held fast"
    for seen in (still, held, free):
        assert refit(seen, [Servo()]) == ()
    # turning freely a servo may draw a small part of its figure, and that is taken over
    (fit,) = refit(desk(*rest, said(State.ONE_MOVING, 142.0)), [Servo()])
    assert (fit.place, fit.after) == ("movements.0.moving_ma", pytest.approx(32.0))


def test_a_moving_current_above_the_stall_current_is_not_offered() -> None:
    seen = desk(said(State.ALL_OFF, 80.0), said(State.LAMP_TEST, 120.0), said(State.ONE_MOVING, 1400.0))
    assert refit(seen, [Servo()]) == ()
    assert "at most its 700 mA when held fast" in withheld(seen, [Servo()])[0].doubt


def test_the_lamps_are_told_without_a_back_light_that_is_not_there() -> None:
    lit = LedString(name="back-light", when=When.BACK_LIGHT)
    without = (said(State.ALL_OFF, 80.0), said(State.LAMP_TEST, 114.0))
    assert len(refit(desk(*without), [Servo()])) == 1
    # with a back-light that was not measured the lamps cannot be told from it
    assert refit(desk(*without, lamps=(lit, TWO)), [Servo()]) == ()
