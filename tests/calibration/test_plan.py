from __future__ import annotations

import pytest

from gaugecore.calibration.enough import is_enough, read_again, readings_needed
from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.plan import staggered_plan
from gaugecore.calibration.readings import Direction
from gaugecore.errors import ReadingsError
from tests.calibration.sweeps import sweep, with_angle


@pytest.mark.parametrize("readings", [5, 6, 11, 12, 21, 31])
@pytest.mark.parametrize("clockwise", [True, False])
def test_no_target_is_shared_and_each_direction_runs_one_way(readings: int, clockwise: bool) -> None:
    plan = staggered_plan(1000, 2000, readings=readings, clockwise_with_command=clockwise)
    assert len(plan) == readings
    assert len({t.command for t in plan}) == readings
    assert {min(t.command for t in plan), max(t.command for t in plan)} == {1000.0, 2000.0}
    up = [t.command for t in plan if t.direction is Direction.UP]
    down = [t.command for t in plan if t.direction is Direction.DOWN]
    assert up == sorted(up, reverse=not clockwise)
    assert down == sorted(down, reverse=clockwise)
    assert [t.direction for t in plan] == [Direction.UP] * len(up) + [Direction.DOWN] * len(down)


def test_every_cycle_repeats_the_targets() -> None:
    plan = staggered_plan(1000, 2000, readings=7, clockwise_with_command=True, cycles=3)
    assert [t.cycle for t in plan] == [1] * 7 + [2] * 7 + [3] * 7
    assert [t.command for t in plan[:7]] == [t.command for t in plan[14:]]


@pytest.mark.parametrize(
    ("low", "high", "readings", "says"),
    [
        (2000, 1000, 11, "the plan needs a range of commands, found '2000 to 1000'"),
        (1000, 2000, 4, "the plan cannot have so many readings, found '4 readings in 1 cycles'"),
        (1000, 2000, 20_000, "the plan cannot have so many readings"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(low: float, high: float, readings: int, says: str) -> None:
    with pytest.raises(ReadingsError) as caught:
        staggered_plan(low, high, readings=readings, clockwise_with_command=True)
    assert says in str(caught.value)


def test_flagged_rows_are_read_again_under_a_new_cycle_number() -> None:
    readings = with_angle(with_angle(sweep(11), 4, 15.0), 15, 70.0)
    fit = fit_readings(readings)
    assert {s.row for s in fit.suspect_rows} == {4, 15}
    targets = read_again(fit, readings)
    assert [(t.command, t.direction, t.cycle) for t in targets] == [
        (readings[3].command, Direction.UP, 2),
        (readings[14].command, Direction.DOWN, 2),
    ]


def test_the_band_says_when_it_is_enough() -> None:
    fit = fit_readings(sweep(16))
    assert is_enough(fit, 2.0)
    assert not is_enough(fit, 0.1)


def test_finer_reading_takes_fewer_readings_for_the_same_accuracy() -> None:
    coarse, fine = readings_needed(0.6, resolution_deg=1.0), readings_needed(0.6, resolution_deg=0.5)
    assert coarse is not None
    assert fine is not None
    assert 11 <= fine < coarse <= 31
    assert readings_needed(0.8, resolution_deg=0.5) == readings_needed(0.8, resolution_deg=1.0) == 11
    assert readings_needed(0.05, resolution_deg=0.5) is None
