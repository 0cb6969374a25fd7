"""Pin limits against the data sheets, as far as they were seen."""

from __future__ import annotations

import pytest

from gaugecore.supply.pins import LIMITS, Controller, PinLoad, overloads


def load(pin: str, ma: float, *, sinks: bool = False) -> PinLoad:
    return PinLoad(name=f"lamp at {pin}", pin=pin, current_ma=ma, sinks=sinks)


def whats(controller: Controller, *loads: PinLoad) -> list[str]:
    return [over.what for over in overloads(loads, LIMITS[controller])]


def test_the_328p_takes_40_ma_at_a_pin_and_is_tested_at_20() -> None:
    # ATmega48PA…328P data sheet p. 313; Atmel-8271H p. 301
    assert whats(Controller.ATMEGA328P, load("B1", 20.0)) == []
    assert whats(Controller.ATMEGA328P, load("B1", 20.1)) == ["tested"]
    assert whats(Controller.ATMEGA328P, load("B1", 40.1)) == ["pin"]
    assert whats(Controller.ATMEGA328P, load("B1", 21.0), load("B1", 21.0)) == ["pin"]


def test_groups_of_the_328p_give_150_and_take_100_ma() -> None:
    # Atmel-8271H p. 301
    given = [load(f"C{bit}", 20.0) for bit in range(6)] + [load("D0", 20.0), load("D1", 10.0)]
    assert whats(Controller.ATMEGA328P, *given) == []
    assert whats(Controller.ATMEGA328P, *given, load("D2", 1.0)) == ["group"]
    taken = [load(f"C{bit}", 16.0, sinks=True) for bit in range(6)]
    assert whats(Controller.ATMEGA328P, *taken) == []
    assert whats(Controller.ATMEGA328P, *taken[:-1], load("C5", 20.5, sinks=True)) == ["tested", "group"]
    # D0–4 take their own hundred, apart from C0–5
    assert whats(Controller.ATMEGA328P, *taken, load("D0", 19.0, sinks=True)) == []


def test_all_pins_of_the_328p_together_give_200_ma() -> None:
    spread = [load(f"C{bit}", 20.0) for bit in range(6)] + [load(f"B{bit}", 16.0) for bit in range(5)]
    assert whats(Controller.ATMEGA328P, *spread) == []
    assert whats(Controller.ATMEGA328P, *spread, load("D5", 1.0)) == ["total"]


def test_the_328pb_is_not_the_328p() -> None:
    # DS40001906C pp. 405, 407: supply pins 100 mA, both giving groups 100 mA
    lamps = [load(f"C{bit}", 19.0) for bit in range(6)]
    assert whats(Controller.ATMEGA328P, *lamps) == []
    assert whats(Controller.ATMEGA328PB, *lamps) == ["group", "total"]


@pytest.mark.parametrize(
    ("pins", "limit_ma"),
    [
        (("J0", "A7", "G2"), 200.0),
        (("C0", "G0", "G1", "D7", "L3"), 200.0),
        (("G3", "G4", "B0", "H7"), 200.0),
        (("E0", "E7", "G5"), 100.0),
        (("F0", "K7"), 100.0),
    ],
)
def test_groups_of_the_2560_are_the_quoted_ones(pins: tuple[str, ...], limit_ma: float) -> None:
    # data sheet as quoted in a forum
    for groups in (LIMITS[Controller.ATMEGA2560].giving, LIMITS[Controller.ATMEGA2560].taking):
        (group,) = [group for group in groups if set(pins) & group.pins]
        assert set(pins) <= group.pins
        assert group.limit_ma == limit_ma


def test_no_pin_of_a_controller_stands_in_two_groups() -> None:
    for limits in LIMITS.values():
        for groups in (limits.giving, limits.taking):
            pins = [pin for group in groups for pin in group.pins]
            assert len(pins) == len(set(pins))
