"""Any valid supply gets its findings, never a traceback."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from gaugecore.findings import Finding
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import CoilDrive, Stepper
from gaugecore.supply.budget import check_supply
from gaugecore.supply.compare import compare
from gaugecore.supply.facts import string_facts, wire_facts
from gaugecore.supply.leds import LedString
from gaugecore.supply.meter import MeterReading, State, When
from gaugecore.supply.pins import Controller
from gaugecore.supply.refit import refit, withheld
from gaugecore.supply.source import Load, SourceKind, Supply
from gaugecore.supply.states import draws
from gaugecore.supply.wires import Wire

currents = st.floats(0.0, 100_000.0)
names = st.sampled_from(["board", "back-light", "lamp", ""])
strings = st.builds(
    LedString,
    name=names,
    resistor_ohm=st.floats(1e-3, 1e7),
    forward_v=st.floats(1e-3, 60.0),
    forward_spread_v=st.floats(0.0, 5.0),
    leds=st.integers(1, 20),
    count=st.integers(1, 1000),
    when=st.sampled_from(When),
    duty=st.floats(0.0, 1.0),
    pin=st.sampled_from(["", "B1", "C0", "L7"]),
    sinks=st.booleans(),
)
readings = st.one_of(
    st.builds(MeterReading, state=st.sampled_from(State), current_ma=currents),
    st.builds(MeterReading, state=st.just(State.ALL_OFF), current_ma=currents, only=names),
)
supplies = st.builds(
    Supply,
    source=st.sampled_from(SourceKind),
    volts=st.floats(1e-3, 60.0),
    limit_ma=st.one_of(st.none(), currents),
    loads=st.lists(
        st.builds(
            Load, name=names, current_ma=currents, count=st.integers(1, 1000), when=st.sampled_from(When)
        ),
        max_size=3,
    ).map(tuple),
    led_strings=st.lists(strings, max_size=4).map(tuple),
    movements_apart=st.booleans(),
    movements_limit_ma=st.one_of(st.none(), currents),
    controller=st.sampled_from(Controller),
    wires=st.lists(
        st.builds(Wire, name=names, length_m=st.floats(1e-3, 100.0), awg=st.integers(0, 40)), max_size=2
    ).map(tuple),
    measured=st.lists(readings, max_size=6).map(tuple),
)
movements = st.lists(
    st.one_of(
        st.builds(Servo, idle_ma=currents, moving_ma=currents, stall_ma=currents),
        st.builds(Stepper, coil_ma=currents, drive=st.sampled_from(CoilDrive), holds=st.booleans()),
    ),
    max_size=3,
)


@given(supplies, movements)
def test_every_valid_supply_is_checked_and_compared(supply: Supply, moved: list[Servo | Stepper]) -> None:
    assert all(isinstance(finding, Finding) for finding in check_supply(supply, moved))
    assert len(compare(supply, moved)) == len(supply.measured)
    for draw in draws(supply, moved):
        assert math.isfinite(draw.typical_ma)
        assert draw.typical_ma >= 0.0
    assert len(string_facts(supply, wanted_ma=10.0)) == len(string_facts(supply)) == len(supply.led_strings)
    assert all(math.isfinite(wire.far_v) for wire in wire_facts(supply, moved))
    assert all(fit.as_if or fit.doubt for fit in withheld(supply, moved))
    for fit in refit(supply, moved):
        assert math.isfinite(fit.after)
        assert fit.after >= 0.0
