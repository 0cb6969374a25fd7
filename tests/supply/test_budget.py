"""The supply state by state, and what the check has to say of it."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from gaugecore.findings import Finding, Severity
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import CoilDrive, Stepper
from gaugecore.supply.budget import check_supply
from gaugecore.supply.leds import LedString
from gaugecore.supply.meter import MeterReading, State, When
from gaugecore.supply.pins import Controller
from gaugecore.supply.source import LIMIT_MA, Load, SourceKind, Supply
from gaugecore.supply.states import draws
from gaugecore.supply.wires import Wire

# The desk of a small ferry: a board, a back-light string and three lamps, all at 150 ohm, one small servo.
# Common practice, no source: 80 mA at rest, 97 mA with the back-light (a forward voltage of 2.45 V), and 130
# to 140 mA with every lamp and one small servo moving.
FERRY = Supply(
    loads=(Load(name="board", current_ma=70.0),),
    led_strings=(
        LedString(name="back-light", when=When.BACK_LIGHT, resistor_ohm=150.0, forward_v=2.45),
        LedString(name="bilge lamp", resistor_ohm=150.0, forward_v=2.45),
    ),
)
SMALL_SERVO = Servo(idle_ma=10.0, moving_ma=32.0)


def rules(findings: list[Finding]) -> set[str]:
    return {finding.rule for finding in findings}


def typical(supply: Supply, *movements: Servo | Stepper) -> dict[State, float]:
    return {draw.state: draw.typical_ma for draw in draws(supply, movements)}


def test_the_common_practice_panel_comes_out_as_measured() -> None:
    current_ma = typical(FERRY, SMALL_SERVO)
    assert current_ma[State.ALL_OFF] == pytest.approx(80.0)
    assert current_ma[State.BACK_LIGHT] == pytest.approx(97.0)
    assert 130.0 <= current_ma[State.ONE_MOVING] <= 140.0


def test_each_state_adds_to_the_one_before_and_one_stalls() -> None:
    current_ma = typical(FERRY, SMALL_SERVO, Servo(idle_ma=5.0, moving_ma=100.0, stall_ma=600.0))
    assert current_ma[State.ALL_OFF] == pytest.approx(85.0)
    assert current_ma[State.LAMP_TEST] == pytest.approx(85.0 + 34.0)
    assert current_ma[State.ALL_MOVING] == pytest.approx(70.0 + 34.0 + 132.0)
    # the hungriest is the one that may draw most while it turns
    assert current_ma[State.ONE_STALLED] == pytest.approx(70.0 + 34.0 + 5.0 + 700.0)


def test_the_one_that_stalls_is_the_one_that_hurts_most() -> None:
    weak, strong = (
        Servo(moving_ma=300.0, stall_ma=350.0),
        Servo(moving_ma=50.0, stall_ma=900.0, moving_worst_ma=60.0),
    )
    (stalled,) = [d for d in draws(Supply(), [weak, strong]) if d.state is State.ONE_STALLED]
    assert stalled.movements_typical_ma == pytest.approx(weak.idle_ma + 900.0)
    (moving,) = [d for d in draws(Supply(), [weak, strong]) if d.state is State.ONE_MOVING]
    assert moving.movements_typical_ma == pytest.approx(300.0 + strong.idle_ma)


def test_the_worst_case_is_never_below_the_typical() -> None:
    for draw in draws(FERRY, [SMALL_SERVO, Stepper()]):
        assert draw.worst_ma >= draw.typical_ma


def test_a_stepper_draws_by_its_coils() -> None:
    # 5 V / 260 ohm = 19.2 mA a coil (arithmetic), two coils on
    stepper = Stepper(coil_ma=5.0 / 260.0 * 1000.0)
    assert stepper.moving_ma == pytest.approx(38.5, abs=0.05)
    assert stepper.idle_ma == stepper.moving_ma
    assert Stepper(holds=False).idle_ma == 0.0


def test_published_limits_of_sources() -> None:
    # USB power articles: five unit loads of 100 mA, six of 150 mA, BC 1.2 1.5 A, USB-C 1.5 and 3 A
    assert [LIMIT_MA[kind] for kind in SourceKind][:5] == [500.0, 900.0, 1500.0, 3000.0, 1500.0]


def test_a_quiet_panel_has_no_findings() -> None:
    assert (
        check_supply(FERRY, [Servo(idle_ma=10.0, moving_ma=32.0, moving_worst_ma=100.0, stall_ma=300.0)])
        == []
    )


def test_too_much_for_usb_is_a_fault_with_a_separate_supply_as_remedy() -> None:
    found = check_supply(FERRY, [Servo(), Servo(), Servo()])
    fault = next(f for f in found if f.rule == "source-overloaded")
    assert fault.severity is Severity.FAULT
    assert (fault.measured, fault.wanted) == ("554 mA", "at most 500 mA (usb2)")
    assert "common ground" in fault.remedy
    assert "takes 450 mA off the source and leaves 104 mA" in fault.remedy
    assert "Local electrical rules come first" in fault.remedy


def test_a_worst_case_above_the_limit_is_a_caution_and_so_is_a_stall() -> None:
    found = {f.rule: f for f in check_supply(FERRY, [SMALL_SERVO, SMALL_SERVO])}
    assert found["source-overloaded"].severity is Severity.CAUTION
    assert found["stall-current"].severity is Severity.CAUTION
    assert "starting-current" in found


def test_movements_on_their_own_supply_leave_the_source_alone() -> None:
    apart = FERRY.model_copy(update={"movements_apart": True, "movements_limit_ma": 400.0})
    found = {f.rule: f for f in check_supply(apart, [Servo(), Servo(), Servo()])}
    assert set(found) == {"separate-supply", "movements-supply-overloaded", "starting-current"}
    assert "grounds" in found["separate-supply"].remedy
    assert typical(apart, Servo())[State.ALL_MOVING] == pytest.approx(104.0)


def test_the_movements_own_supply_is_held_against_the_worst_case_too() -> None:
    apart = FERRY.model_copy(update={"movements_apart": True, "movements_limit_ma": 1000.0})
    found = {f.rule: f for f in check_supply(apart, [Servo(), Servo(), Servo()])}
    # typically 700 + 10 + 10 held fast, at worst 3 times half way from 150 to 700
    assert found["separate-supply"].measured == (
        "720 mA typically in the hungriest state, one-stalled; 1275 mA in the worst case, all-moving"
    )
    overload = found["movements-supply-overloaded"]
    assert (overload.severity, overload.measured) == (Severity.CAUTION, "1275 mA")
    assert "at least 1275 mA" in overload.remedy
    enough = apart.model_copy(update={"movements_limit_ma": 2500.0})
    assert rules(check_supply(enough, [Servo(), Servo(), Servo()])) == {"separate-supply"}


def test_one_movement_alone_does_not_start_all_at_once() -> None:
    assert "starting-current" not in rules(check_supply(FERRY, [Servo()]))
    found = {f.rule: f for f in check_supply(FERRY, [Servo()])}
    assert "for a moment as it starts" in found["stall-current"].message
    assert "starting-current" in rules(check_supply(FERRY, [Servo(), Servo()]))


def test_a_hungry_panel_before_the_host_accepts_it_is_a_caution() -> None:
    found = check_supply(Supply(loads=(Load(name="board", current_ma=120.0),)), [])
    assert rules(found) == {"draws-much-before-configured"}
    assert (
        rules(check_supply(Supply(source=SourceKind.USB3, loads=(Load(name="b", current_ma=120.0),)), []))
        == set()
    )


def test_a_forward_voltage_above_the_supply_is_a_fault() -> None:
    supply = Supply(led_strings=(LedString(name="white", forward_v=3.2, leds=2),))
    (found,) = check_supply(supply, [])
    assert (found.rule, found.severity) == ("forward-voltage-above-supply", Severity.FAULT)
    assert found.place == "supply.led_strings.0.forward_v"
    assert found.remedy.startswith(
        "1 LED in series instead of 2; or a supply of at least 7.4 V for this string"
    )


def test_a_lamp_that_needs_more_than_the_supply_does_not_raise_what_the_board_gets() -> None:
    supply = Supply(led_strings=(LedString(name="blue", forward_v=6.0),))
    (found,) = check_supply(supply, [Servo(moving_worst_ma=100.0, stall_ma=300.0)])
    assert found.remedy == (
        "Another lamp, of at most 4.5 V; or a supply of at least 7 V for this string alone, with common "
        "ground: board and movements stay on 5 V. Local electrical rules come first."
    )


def test_a_hot_resistor_is_a_caution() -> None:
    supply = Supply(
        volts=12.0, source=SourceKind.SEPARATE, led_strings=(LedString(name="lamp", resistor_ohm=390.0),)
    )
    assert rules(check_supply(supply, [])) == {"resistor-runs-hot"}


def test_pins_are_checked_with_everything_on_at_once() -> None:
    strings = tuple(LedString(name=f"lamp {i}", pin=f"C{i}", resistor_ohm=100.0) for i in range(6))
    found = check_supply(Supply(led_strings=strings), [])
    assert {"pin-tested-current", "pin-group-current"} <= rules(found)
    other = Supply(led_strings=strings, controller=Controller.OTHER)
    assert not any(rule.startswith("pin") for rule in rules(check_supply(other, [])))


def test_coils_on_pins_are_checked_and_drivers_are_not() -> None:
    assert not any(r.startswith("pin") for r in rules(check_supply(Supply(), [Stepper()])))
    assert "pin-tested-current" in rules(check_supply(Supply(), [Stepper(coil_ma=25.0)]))
    assert "pin-pin-current" in rules(check_supply(Supply(), [Stepper(coil_ma=45.0)]))
    assert "pin-total-current" in rules(check_supply(Supply(), [Stepper()] * 6))


def test_a_movement_at_the_wrong_voltage_is_found() -> None:
    twelve = Supply(volts=12.0, source=SourceKind.SEPARATE)
    found = {f.rule: f for f in check_supply(twelve, [Servo()])}
    assert found["movement-voltage"].severity is Severity.FAULT
    assert found["movement-voltage"].measured == "12 V"
    weak = {f.rule: f for f in check_supply(Supply(volts=3.3, source=SourceKind.SEPARATE), [Servo()])}
    assert weak["movement-voltage"].severity is Severity.CAUTION
    driven = Stepper(drive=CoilDrive.DRIVER)
    assert "movement-voltage" not in rules(check_supply(twelve, [driven]))


def test_a_thin_wire_is_found_with_the_gauge_that_would_do() -> None:
    wire = Wire(name="to the servos", length_m=2.0, awg=30, current_ma=700.0)
    (found,) = check_supply(Supply(wires=(wire,)), [])
    assert found.rule == "wire-drop"
    # 4 m of 338.6 mΩ/m at 0.7 A is 0.948 V
    assert found.measured == "4.05 V at 700 mA"
    assert found.remedy.startswith("26 AWG")


@pytest.mark.parametrize(
    ("build", "says"),
    [
        (lambda: Load(name="x", current_ma=-1.0), "current_ma"),
        (lambda: Load(name="x", current_ma=10.0, worst_ma=5.0), "worst_ma 5 of 'x' is below current_ma 10"),
        (lambda: Supply(volts=0.0), "volts"),
        (
            lambda: MeterReading(state=State.LAMP_TEST, current_ma=1.0, only="lamp"),
            "a reading of 'lamp' alone is taken over the state all-off, not lamp-test",
        ),
    ],
)
def test_a_supply_that_makes_no_sense_is_refused(build: object, says: str) -> None:
    with pytest.raises(ValidationError, match=says):
        build()  # type: ignore[operator]
