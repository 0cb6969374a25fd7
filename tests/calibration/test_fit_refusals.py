"""Readings that make no honest map: one sentence each, never a silent straight line."""

from __future__ import annotations

import numpy as np
import pytest

from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.readings import Direction, Reading
from gaugecore.calibration.suspects import OUTSIDE_LIMITS
from gaugecore.errors import FitError
from tests.calibration.sweeps import sweep, with_angle


def _refused(readings: tuple[Reading, ...], **how: object) -> str:
    with pytest.raises(FitError) as caught:
        fit_readings(readings, **how)  # type: ignore[arg-type]
    return str(caught.value)


def _changed(**update: object) -> tuple[Reading, ...]:
    return tuple(r.model_copy(update=update) for r in sweep())


@pytest.mark.parametrize("count", [0, 1, 4])
def test_fewer_than_five_readings(count: int) -> None:
    assert "too few readings for a fit" in _refused(sweep()[:count])


def test_five_readings_that_do_not_all_count() -> None:
    excluded = sweep(3)[0].model_copy(update={"excluded": "misread"})
    assert "found '4 that count'" in _refused((excluded, *sweep(3)[1:]))


def test_all_at_one_command() -> None:
    assert "the readings are all at one or two commands, found '1500'" in _refused(_changed(command=1500.0))


def test_all_angles_equal() -> None:
    assert "the needle hardly moves over all readings" in _refused(_changed(angle_deg=12.0))


def test_degrees_in_the_command_column() -> None:
    swapped = tuple(r.model_copy(update={"command": r.angle_deg}) for r in sweep())
    assert "the commands look like degrees, not pulse widths" in _refused(swapped)


def test_a_command_that_is_no_pulse() -> None:
    readings = sweep()
    odd = readings[4].model_copy(update={"command": 15000.0})
    said = _refused((*readings[:4], odd, *readings[5:]))
    assert "row 5: the command is no pulse a servo may be sent, found '15000'; accepted: 300 to 3000" in said


def test_angles_that_do_not_follow_the_command() -> None:
    angles = np.random.default_rng(3).permutation([r.angle_deg for r in sweep()])
    mixed = tuple(r.model_copy(update={"angle_deg": float(a)}) for r, a in zip(sweep(), angles, strict=True))
    assert "the dial angle does not follow the command" in _refused(mixed)


def test_more_slips_than_truth() -> None:
    readings = sweep()
    for row, off in zip(range(2, 21, 2), (9, -17, 13, -8, 21, -12, 16, -19, 7, 14), strict=True):
        readings = with_angle(readings, row, readings[row - 1].angle_deg + off)
    said = _refused(readings)
    assert "too many rows contradict the others" in said or "does not follow" in said


def test_directions_noted_by_the_command_instead_of_the_needle() -> None:
    other = {Direction.UP: Direction.DOWN, Direction.DOWN: Direction.UP}
    turned = tuple(r.model_copy(update={"direction": other[r.direction]}) for r in sweep(16, step_deg=0.5))
    said = _refused(turned)
    assert "the needle seems to stand lower when it comes from above" in said
    assert "up: rising dial angle" in said


def _lost_at_top(shift_deg: float) -> tuple[Reading, ...]:
    """Return a stepper's sweep after which all that was read on the way back is off."""
    return tuple(
        r.model_copy(
            update={
                "command": (r.command - 1000) * 3,
                "angle_deg": r.angle_deg - shift_deg * (r.direction is Direction.DOWN),
            }
        )
        for r in sweep(16)
    )


def test_a_stepper_with_a_negative_gap() -> None:
    """Steps lost at the top of the sweep show as a needle that is ahead of itself on the way back."""
    with pytest.raises(FitError, match="home the stepper and read again, not past the ends"):
        fit_readings(_lost_at_top(2.5), kind="stepper")


def test_many_steps_lost_at_the_top_are_named_and_the_way_back_is_left_out() -> None:
    fit = fit_readings(_lost_at_top(3.5), kind="stepper")
    assert [s.row for s in fit.suspect_rows] == list(range(17, 32))
    assert any("steps were lost before row 17" in warning for warning in fit.warnings)
    assert fit.reversal_deg.value is None


def test_one_direction_only_is_fitted_with_a_warning_and_a_wide_band() -> None:
    one_way = tuple(r for r in sweep(21) if r.direction is Direction.UP)
    fit = fit_readings(one_way)
    assert fit.reversal_deg.value is None
    assert any("arriving from below only" in warning for warning in fit.warnings)
    assert min(fit.knots.standard_uncertainty_deg) > 0.8


def test_commands_outside_the_limits_are_left_out_and_the_map_stays_inside() -> None:
    fit = fit_readings(sweep(21), command_limits=(1200.0, 1800.0))
    assert 1200.0 <= fit.command_range[0] < fit.command_range[1] <= 1800.0
    assert all(s.reason == OUTSIDE_LIMITS for s in fit.suspect_rows)
    assert any("lie outside the command limits and are left out" in warning for warning in fit.warnings)


def test_all_commands_outside_the_limits() -> None:
    assert "all commands lie outside the limits of the movement" in _refused(
        sweep(), command_limits=(400, 500)
    )


def test_few_readings_say_what_cannot_be_known() -> None:
    warnings = " ".join(fit_readings(sweep(3)).warnings)
    assert "5 readings leave room for bends between them" in warnings
    assert "repeatability is not known: one cycle cannot tell it" in warnings
