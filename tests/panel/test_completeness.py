"""What a panel lacks, and where its stages contradict each other: each rule broken, and just kept."""

import pytest

from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.panel.completeness import check_completeness
from gaugecore.panel.document import Calibration, Panel, RawInput
from tests.panel.test_driver import an_instrument
from tests.panel.test_sendable import with_arc, with_fit


def found_in(instrument):
    found = check_completeness(Panel(title="Desk", instruments=(instrument,)))
    assert all(one.place.startswith(f"instruments.{instrument.id}.") for one in found)
    return {one.rule: one for one in found}


def test_a_calibrated_dial_lacks_nothing():
    assert found_in(an_instrument()) == {}


def test_a_panel_without_instruments_is_empty():
    assert [one.rule for one in check_completeness(Panel(title="Desk"))] == ["panel-empty"]


def test_a_dial_without_a_fit_is_not_calibrated():
    assert set(found_in(an_instrument().model_copy(update={"calibration": Calibration()}))) == {
        "not-calibrated"
    }


@pytest.mark.parametrize(
    ("low", "high", "rules"),
    [
        (0, 100, set()),
        (100, 0, set()),
        (-1, 100, {"input-beyond-scale"}),
        (0, 99, {"scale-beyond-input"}),
        (101, 1, {"input-beyond-scale", "scale-beyond-input"}),
    ],
)
def test_the_input_covers_the_scale_and_no_more(low, high, rules):
    raw = RawInput(low_value=low, high_value=high)
    assert set(found_in(an_instrument().model_copy(update={"raw": raw}))) == rules


@pytest.mark.parametrize(("end_deg", "rules"), [(80.5, set()), (80.6, {"fit-short-of-arc"})])
def test_the_fit_reaches_the_ends_of_the_scale(end_deg, rules):
    assert set(found_in(with_arc(-75.0, end_deg))) == rules


@pytest.mark.parametrize(
    ("movement", "command_range", "wanted"),
    [
        (Servo(pulse_min_us=700, pulse_max_us=2300), (700, 2300), None),
        (Servo(pulse_min_us=700, pulse_max_us=2300), (699, 2300), "700 to 2300 µs"),
        (Stepper(), (0, 945), None),
        (Stepper(), (0, 946), "0 to 945 steps"),
    ],
)
def test_the_fit_stays_inside_the_movement_s_limits(movement, command_range, wanted):
    one = an_instrument().model_copy(update={"movement": movement})
    found = found_in(with_fit(one, kind=movement.kind, command_range=command_range))
    assert set(found) == (set() if wanted is None else {"fit-beyond-limits"})
    if wanted is not None:
        assert found["fit-beyond-limits"].wanted == wanted


def test_a_fit_of_the_other_kind_of_movement_is_told():
    one = an_instrument().model_copy(update={"movement": Stepper()})
    assert "fit-of-another-movement" in found_in(one)


def test_a_pointer_that_ends_short_of_the_graduations_is_told():
    one = an_instrument()
    inner_mm = one.face.graduations.outer_radius_mm - one.face.graduations.major.length_mm
    for length_mm, rules in ((inner_mm - 3.0, set()), (inner_mm - 3.1, {"pointer-short"})):
        pointer = one.pointer.model_copy(update={"length_mm": length_mm})
        assert set(found_in(one.model_copy(update={"pointer": pointer}))) == rules
