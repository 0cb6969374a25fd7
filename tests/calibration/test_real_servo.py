"""A real servo, measured with a shaft encoder, one direction.

From the open text data set nvidia/Nemotron-CC-Math-v1. The angles there count counter-clockwise; the sample
file turns them round.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.readings import Direction, read_readings

SAMPLE = Path(__file__).parents[2] / "samples" / "measured-servo.readings.csv"
PUBLISHED = (0.00976096, -11.08201885, 1364.44213867)


def _columns() -> tuple[np.ndarray, np.ndarray]:
    readings = read_readings(SAMPLE)
    return np.array([r.command for r in readings]), np.array([r.angle_deg for r in readings])


def test_the_published_parabola_and_its_check_value_are_reproduced() -> None:
    pulse_us, dial_deg = _columns()
    shaft_deg = -dial_deg
    a, b, c = np.polyfit(shaft_deg, pulse_us, 2)
    assert a == pytest.approx(PUBLISHED[0], abs=5e-8)
    assert b == pytest.approx(PUBLISHED[1], abs=2e-6)
    assert c == pytest.approx(PUBLISHED[2], abs=2e-5)
    # published: -60.60 degrees -> 2072 µs
    assert round(float(np.polyval(PUBLISHED, -60.60))) == 2072
    residual = pulse_us - np.polyval((a, b, c), shaft_deg)
    assert np.sqrt(np.mean(residual**2)) == pytest.approx(8.51, abs=0.01)
    assert residual[pulse_us == 870][0] == pytest.approx(-18.6, abs=0.1)


def test_the_fit_follows_the_drive_more_closely_than_the_parabola() -> None:
    pulse_us, dial_deg = _columns()
    fit = fit_readings(read_readings(SAMPLE))
    low, high = fit.angle_range_deg
    inside = (dial_deg >= low) & (dial_deg <= high)
    miss = pulse_us[inside] - fit.commands(dial_deg[inside], Direction.UP)
    assert np.sqrt(np.mean(miss**2)) < 8.51
    # away from the bent rows the fit runs through the readings, within about half a degree
    smooth = inside & (pulse_us > 1000)
    on_smooth = pulse_us[smooth] - fit.commands(dial_deg[smooth], Direction.UP)
    assert np.abs(on_smooth).max() < 6.0


def test_the_rows_that_bend_are_named_or_lie_within_the_band() -> None:
    """The rows at 770 and 870 µs bend against their neighbours by about two degrees."""
    fit = fit_readings(read_readings(SAMPLE))
    named = {s.row for s in fit.suspect_rows}
    for row, reading in enumerate(read_readings(SAMPLE), start=1):
        if reading.command in (770.0, 870.0) and row not in named:
            at = float(fit.angles(reading.command, Direction.UP)[0])
            u = float(np.interp(at, fit.knots.angle_deg, fit.knots.standard_uncertainty_deg))
            assert abs(reading.angle_deg - at) < 1.96 * u


def test_what_one_direction_cannot_tell_is_null_with_a_sentence() -> None:
    fit = fit_readings(read_readings(SAMPLE))
    assert fit.reversal_deg.value is None
    assert fit.repeatability_deg is None
    assert any(warning.startswith("reversal is not known") for warning in fit.warnings)
    assert any(warning.startswith("repeatability is not known") for warning in fit.warnings)
