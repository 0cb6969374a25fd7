"""The fit on drives whose truth is known: a quick subset of the bench, with generous bounds.

The full run is ``python -m tests.bench calibration``; its figures are in docs/accuracy.md. So few drives give
the median only to about ±0.1, so the bounds here catch a broken fit, not a slightly worse one.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.bench.calibration_cells import EACH, FIT, SINGLE, Cell, Result, measure

_DRIVES = 24


@pytest.fixture(scope="module")
def usual() -> Result:
    return measure(Cell(n=21), _DRIVES)


def test_oracles_bound_every_map(usual: Result) -> None:
    assert np.median(usual.p95_deg[EACH]) < np.median(usual.p95_deg[FIT])
    assert np.median(usual.p95_deg[EACH]) < 0.5 * np.median(usual.p95_deg[SINGLE])


@pytest.mark.slow
def test_the_needle_is_better_than_the_best_map_without_direction(usual: Result) -> None:
    assert usual.refused == 0
    assert np.median(usual.r1()) < 0.95
    assert np.percentile(usual.r1(), 90) < 1.8


def test_the_fit_beats_every_rival_in_the_same_run(usual: Result) -> None:
    for rival in usual.p95_deg:
        if rival not in (FIT, SINGLE, EACH):
            assert usual.against(rival) < 0.97, rival


def test_slips_are_found_and_little_else_is_accused(usual: Result) -> None:
    assert usual.precision > 0.9
    assert usual.recall > 0.9


def test_lost_motion_and_band_are_honest(usual: Result) -> None:
    assert usual.reversal_rms_deg < 0.27
    assert 0.92 < np.mean(usual.covered) < 0.99


@pytest.mark.slow
def test_the_band_holds_on_drives_outside_the_assumptions() -> None:
    harsh = measure(Cell(n=21, harsh=True), _DRIVES)
    assert np.mean(harsh.covered) > 0.87
    assert np.median(harsh.r1()) < 0.9


@pytest.mark.slow
def test_steppers_point_within_half_a_degree_or_so() -> None:
    steppers = measure(Cell(kind="stepper", n=31), 12)
    assert np.median(steppers.p95_deg[FIT]) < 0.7


@pytest.mark.slow
def test_lost_steps_are_named() -> None:
    lost = measure(Cell(kind="stepper", n=31, lose_steps=True), 16)
    assert lost.losses_named >= 13
