"""What every fit promises, whatever the readings."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest

from gaugecore.calibration.enough import read_again
from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.readings import Direction, Held, Reading
from gaugecore.calibration.result import FEWEST_KNOTS, Fit
from gaugecore.calibration.suspects import AT_STOP, LONE_AT_STOP, TURNED, TURNED_AT_STOP
from tests.calibration.sweeps import LOST_DEG, angle_of, cycles, sweep, with_angle


def _keeps_its_promises(fit: Fit, readings: tuple[Reading, ...]) -> None:
    angle = np.array(fit.knots.angle_deg)
    assert angle.size >= FEWEST_KNOTS
    assert (np.diff(angle) > 0).all()
    assert (np.array(fit.knots.standard_uncertainty_deg) > 0).all()
    commands = [r.command for r in readings]
    for branch in (fit.knots.command_up, fit.knots.command_down):
        steps = np.diff(branch)
        assert (steps > 0).all() or (steps < 0).all()
        # nothing is extrapolated
        assert min(commands) - 1e-6 <= min(branch)
        assert max(branch) <= max(commands) + 1e-6
    assert Fit.model_validate_json(fit.model_dump_json()) == fit
    json.dumps(fit.model_dump(mode="json"), allow_nan=False)


@pytest.mark.parametrize("n_up", [3, 4, 6, 11, 16, 31])
def test_a_fit_keeps_its_promises_from_five_readings_up(n_up: int) -> None:
    readings = sweep(n_up)
    _keeps_its_promises(fit_readings(readings), readings)


@pytest.mark.parametrize("n_up", [60, pytest.param(1000, marks=pytest.mark.slow)])
def test_a_fit_keeps_its_promises_with_very_many_readings(n_up: int) -> None:
    readings = sweep(n_up, step_deg=0.1)
    fit = fit_readings(readings)
    _keeps_its_promises(fit, readings)
    assert max(fit.knots.standard_uncertainty_deg) < 0.3


def test_the_same_readings_give_the_same_fit() -> None:
    assert fit_readings(sweep()) == fit_readings(sweep())


def test_the_needle_is_found_from_both_sides() -> None:
    fit = fit_readings(sweep(16, step_deg=0.5))
    for side, direction in ((-1.0, Direction.UP), (1.0, Direction.DOWN)):
        for command in (1100.0, 1350.0, 1600.0, 1900.0):
            assert float(fit.angles(command, direction)[0]) == pytest.approx(
                angle_of(command, side), abs=0.35
            )
    assert fit.reversal_deg.value == pytest.approx(LOST_DEG, abs=0.3)


def test_a_needle_that_turns_against_the_command_is_fitted_alike() -> None:
    turned = tuple(r.model_copy(update={"command": 3000.0 - r.command}) for r in sweep())
    fit, plain = fit_readings(turned), fit_readings(sweep())
    assert fit.knots.angle_deg == pytest.approx(plain.knots.angle_deg, abs=1e-6)
    assert fit.knots.command_up == pytest.approx([3000.0 - c for c in plain.knots.command_up], abs=1e-4)


def test_excluded_rows_count_for_nothing_and_keep_their_numbers() -> None:
    readings = with_angle(sweep(), 4, 80.0)
    excluded = readings[3].model_copy(update={"excluded": "pen slipped"})
    fit = fit_readings((*readings[:3], excluded, *readings[4:]))
    assert fit.suspect_rows == ()
    assert fit.figures["readings"] == len(readings) - 1


def test_a_row_the_user_stands_by_is_believed() -> None:
    readings = with_angle(sweep(), 4, sweep()[3].angle_deg + 5.0)
    doubted = fit_readings(readings)
    assert [row.row for row in doubted.suspect_rows] == [4]
    kept = readings[3].model_copy(update={"kept": "looked twice"})
    believed = fit_readings((*readings[:3], kept, *readings[4:]))
    assert 4 not in [row.row for row in believed.suspect_rows]
    misses = [
        abs(float(fit.angles(kept.command, Direction.UP)[0]) - kept.angle_deg) for fit in (doubted, believed)
    ]
    assert misses[1] < misses[0]


def test_a_row_written_twice_on_purpose_is_believed() -> None:
    rows = sweep()
    doubled = (rows[0], rows[0], *rows[1:])
    assert [row.row for row in fit_readings(doubled).suspect_rows] == [2]
    kept = rows[0].model_copy(update={"kept": "read again on purpose"})
    assert fit_readings((rows[0], kept, *rows[1:])).suspect_rows == ()


@pytest.mark.parametrize(
    ("slip_deg", "reason"), [(5.0, "misread by 5°"), (-10.0, "misread by 10°"), (23.0, "far from")]
)
def test_a_misread_row_is_named_with_the_reason(slip_deg: float, reason: str) -> None:
    readings = sweep()
    fit = fit_readings(with_angle(readings, 8, readings[7].angle_deg + slip_deg))
    (suspect,) = fit.suspect_rows
    assert suspect.row == 8
    assert suspect.residual_deg == pytest.approx(slip_deg, abs=1.2)
    assert suspect.reason.startswith(reason)


def test_swapped_digits_are_named() -> None:
    readings = sweep()
    assert readings[9].angle_deg == 47.0
    (suspect,) = fit_readings(with_angle(readings, 10, 74.0)).suspect_rows
    assert (suspect.row, suspect.reason) == (10, "digits swapped")


def test_a_swapped_direction_is_named_from_the_order_and_counted_the_other_way() -> None:
    readings = sweep()
    turned = readings[6].model_copy(update={"direction": Direction.DOWN})
    fit = fit_readings((*readings[:6], turned, *readings[7:]))
    assert [(s.row, s.reason) for s in fit.suspect_rows] == [(7, TURNED)]
    assert fit.reversal_deg == fit_readings(readings).reversal_deg


def test_a_row_written_twice_is_named() -> None:
    readings = sweep()
    (suspect,) = fit_readings((*readings[:5], readings[4], *readings[5:])).suspect_rows
    assert (suspect.row, suspect.reason) == (6, "row doubled")


def test_rows_at_an_end_stop_are_left_out_and_the_map_ends_short_of_it() -> None:
    stop_deg = 50.0
    readings = tuple(r.model_copy(update={"angle_deg": min(r.angle_deg, stop_deg)}) for r in sweep(21))
    fit = fit_readings(readings)
    at_stop = {s.row for s in fit.suspect_rows if s.reason == AT_STOP}
    assert {20, 21, 22} <= at_stop
    assert fit.angle_range_deg[1] < stop_deg
    stopped_at = min(r.command for r in readings if r.angle_deg == stop_deg)
    assert max(fit.knots.command_down) < stopped_at + 60
    assert any("stood at an end stop" in warning for warning in fit.warnings)


def test_a_row_that_alone_speaks_for_a_stop_may_be_a_misreading_and_is_read_again() -> None:
    last = len(sweep(21)) // 2 + 1
    readings = sweep(21)
    fit = fit_readings(with_angle(readings, last, readings[last - 1].angle_deg - 5.0))
    (suspect,) = fit.suspect_rows
    assert suspect.row == last
    assert suspect.reason in ("misread by 5°", LONE_AT_STOP + "misread by 5°")
    assert [target.command for target in read_again(fit, readings)] == [readings[last - 1].command]


def test_a_row_at_a_stop_with_its_direction_swapped_is_named_for_both() -> None:
    readings = tuple(r.model_copy(update={"angle_deg": min(r.angle_deg, 50.0)}) for r in sweep(21))
    turned = readings[19].model_copy(update={"direction": Direction.DOWN})
    fit = fit_readings((*readings[:19], turned, *readings[20:]))
    assert {s.row: s.reason for s in fit.suspect_rows}[20] == TURNED_AT_STOP


def test_directions_that_were_not_noted_are_taken_from_the_order() -> None:
    blank = tuple(r.model_copy(update={"direction": Direction.UNKNOWN}) for r in sweep())
    fit = fit_readings(blank)
    assert fit.knots == fit_readings(sweep()).knots
    assert any("taken from the order of the rows" in warning for warning in fit.warnings)


def test_jogging_onto_marks_counts_as_reading_and_reaches_the_outer_marks() -> None:
    marks = np.arange(-50.0, 51.0, 10.0)
    fine = np.linspace(1000, 2000, 4001)
    rows = []
    for direction, side, along in ((Direction.UP, -1.0, marks), (Direction.DOWN, 1.0, marks[::-1])):
        rest = np.array([angle_of(c, side) for c in fine])
        rows += [
            Reading(
                command=float(round(np.interp(m, rest, fine))), angle_deg=float(m), direction=direction,
                held=Held.ANGLE,
            )
            for m in along
        ]  # fmt: skip
    fit = fit_readings(rows)
    assert fit.angle_range_deg == (-50.0, 50.0)
    assert fit.reversal_deg.value == pytest.approx(LOST_DEG, abs=0.2)


def test_cycles_tell_repeatability_and_positioning() -> None:
    fit = fit_readings(cycles(6, step_deg=0.1, noise_deg=0.2))
    assert fit.repeatability_deg == pytest.approx(0.2, abs=0.06)
    positioning = fit.figures["positioning"]
    assert positioning["approaches"] == 6
    assert positioning["reversal_mean"] == pytest.approx(-LOST_DEG, abs=0.15)
    assert fit.figures["span_figures"]["hysteresis_percent"] > 0.8


def test_warming_up_is_noticed() -> None:
    warm = tuple(
        r.model_copy(update={"angle_deg": round(r.angle_deg + 2.0 * (1 - i / 63), 1)})
        for i, r in enumerate(cycles(2, 16, step_deg=0.1, noise_deg=0.05))
    )
    assert any("the drive moved while it was read" in warning for warning in fit_readings(warm).warnings)


def _stepper(n: int = 31, *, lost_from: int | None = None, shift_deg: float = 4.0) -> tuple[Reading, ...]:
    rng = np.random.default_rng(7)
    marks = np.linspace(0.0, 3600.0, n // 2 + 1)
    plan = [(c, -1.0) for c in marks] + [(c, 1.0) for c in marks[:-1][::-1]]
    return tuple(
        Reading(
            command=c,
            angle_deg=round(
                c / 12.0 - 150.0 + 0.4 * float(np.sin(c / 12.0 / 36.0 * 2 * np.pi)) + side * 0.3
                + rng.normal(0, 0.15) + (shift_deg if lost_from is not None and i + 1 >= lost_from else 0.0)
            ),
            direction=Direction.UP if side < 0 else Direction.DOWN,
        )
        for i, (c, side) in enumerate(plan)
    )  # fmt: skip


def test_a_stepper_is_fitted_with_its_own_mean() -> None:
    fit = fit_readings(_stepper(), kind="stepper")
    assert fit.kind == "stepper"
    assert fit.suspect_rows == ()
    assert fit.reversal_deg.value == pytest.approx(0.6, abs=0.35)


def test_lost_steps_are_named_and_not_fitted() -> None:
    fit = fit_readings(_stepper(lost_from=12), kind="stepper")
    assert [s.row for s in fit.suspect_rows] == list(range(12, 32))
    (said,) = [re.search(r"lost before row 12, by about ([\d.]+)°", w) for w in fit.warnings if "lost" in w]
    assert said is not None
    assert float(said[1]) == pytest.approx(4.0, abs=0.6)
    # what is left was read from one side only, and says so
    assert fit.reversal_deg.value is None


def test_a_drive_that_was_still_warming_up_is_noticed() -> None:
    steady = sweep(16)
    cold = np.exp(-np.arange(len(steady)) / (0.4 * len(steady)))
    warming = tuple(
        r.model_copy(update={"angle_deg": float(np.round(r.angle_deg + 2.5 * c))})
        for r, c in zip(steady, cold, strict=True)
    )
    says = [[w for w in fit_readings(rows).warnings if "moved while" in w] for rows in (steady, warming)]
    assert [len(found) for found in says] == [0, 1]
