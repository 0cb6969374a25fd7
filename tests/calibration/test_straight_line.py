"""Straight lines against published examples: GUM H.3, NIST Norris, and a university exercise."""

from __future__ import annotations

import importlib.resources

import numpy as np
import pytest

from gaugecore.calibration.linearity import linearity
from gaugecore.calibration.straight_line import fit_line
from gaugecore.errors import FitError

# JCGM 100:2008, example H.3, by way of a metrology library's documentation
T_K = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
B_K = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)
PREDICTED_E4 = (-1679, -1668, -1657, -1646, -1635, -1625, -1614, -1603, -1592, -1581, -1570)


def test_gum_h3_thermometer_to_full_precision() -> None:
    line = fit_line(T_K, B_K, origin=20.0)
    assert line.intercept == pytest.approx(-0.17120379013135, abs=1e-13)
    assert line.slope == pytest.approx(0.0021826977398873, abs=1e-15)
    assert line.slope_u == pytest.approx(0.0006679387732278, abs=1e-15)
    assert line.intercept_u == pytest.approx(0.0028776, abs=5e-8)
    assert line.correlation == pytest.approx(-0.930430, abs=5e-7)
    assert line.scatter == pytest.approx(0.00349756, abs=5e-9)
    assert line.scatter**2 * line.freedoms == pytest.approx(0.000110096583109, abs=5e-16)
    assert line.freedoms == 9
    assert [round(line.at(t)[0] * 1e4) for t in T_K] == list(PREDICTED_E4)


def test_gum_h3_prediction_minds_the_correlation() -> None:
    value, u = fit_line(T_K, B_K, origin=20.0).at(30.0)
    assert value == pytest.approx(-0.149377, abs=5e-7)
    assert u == pytest.approx(0.0041386, abs=5e-8)


def test_nist_norris_certified_values() -> None:
    """Data from the scipy wheel, certified values of NIST StRD Norris."""
    place = importlib.resources.files("scipy.stats.tests.data") / "nist_linregress" / "Norris.dat"
    rows = np.array([line.split() for line in place.read_text().splitlines()[60:96]], dtype=float)
    line = fit_line(rows[:, 1], rows[:, 0])
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert line.intercept_u == pytest.approx(0.232818234301152, rel=1e-9)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert line.slope_u == pytest.approx(0.000429796848199937, rel=1e-9)
    assert line.scatter == pytest.approx(0.884796396144373, rel=1e-9)
    assert line.scatter**2 * line.freedoms == pytest.approx(26.6173985294224, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "slope", "intercept", "largest", "percent"),
    [
        ("least_squares", 0.064, 5.066667, 0.326667, 5.185),
        ("terminal", 0.063, 5.2, 0.42, 6.667),
        ("independent", 0.06375, 4.975, 0.225, 3.571),
        ("zero_based", 0.060, 5.2, 0.30, 4.762),
    ],
)
def test_linearities_of_a_transmitter(
    name: str, slope: float, intercept: float, largest: float, percent: float
) -> None:
    """Data of a university exercise on a 4-20 mA transmitter (TU Dublin); the results were computed."""
    found = linearity([0, 20, 40, 60, 80, 100], [5.2, 6.4, 7.3, 8.9, 10.3, 11.5])
    line = getattr(found, name)
    assert line.slope == pytest.approx(slope, abs=1e-9)
    assert line.intercept == pytest.approx(intercept, abs=5e-7)
    assert line.largest_deviation == pytest.approx(largest, abs=5e-7)
    assert line.percent_of_span == pytest.approx(percent, abs=5e-4)


def test_no_line_through_two_points_or_one_place() -> None:
    with pytest.raises(FitError, match="a straight line needs points that vary"):
        fit_line([1, 2], [1, 2])
    with pytest.raises(FitError, match="linearity needs points that vary"):
        linearity([1, 1, 1], [1, 2, 3])
