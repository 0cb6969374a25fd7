"""Knots from curves: monotone, inside the data, never overshooting."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from gaugecore.calibration.branches import Curves, make_knots, nearest_rising
from gaugecore.errors import FitError

# "RPN 14", from the readme of a spline library; by Fritsch and Carlson 1980, from memory
RPN_14_X = np.array([7.99, 8.09, 8.19, 8.7, 9.2, 10, 12, 15, 20])
RPN_14_Y = np.array([0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994])
# Akima 1970, J. ACM 17(4): a plateau and a rise; the data and figures as a spline library tests them
AKIMA_X = np.array([0, 2, 3, 5, 6, 8, 9, 11, 12, 14, 15.0])
AKIMA_Y = np.array([10, 10, 10, 10, 10, 10, 10.5, 15, 50, 60, 85.0])


@pytest.mark.parametrize(
    ("values", "nearest"),
    [
        # Busing 2020, JSS 102(1), by way of scipy's tests
        ((8, 4, 8, 2, 2, 0, 8), (4, 4, 4, 4, 4, 4, 8)),
        ((0, 6, 8, 3, 5, 2, 1, 7, 9, 4), (0, *[25 / 6] * 6, *[20 / 3] * 3)),
        # scikit-learn's tests
        ((3, 7, 5, 9, 8, 7, 10), (3, 6, 6, 8, 8, 8, 10)),
        ((10, 0, 2), (4, 4, 4)),
    ],
)
def test_the_nearest_rising_curve_is_that_of_isotonic_regression(
    values: tuple[float, ...], nearest: tuple[float, ...]
) -> None:
    assert nearest_rising(np.array(values, dtype=float)) == pytest.approx(nearest)


@pytest.mark.parametrize(
    ("x", "y", "overshoots"), [(RPN_14_X, RPN_14_Y, 0.1), (AKIMA_X, AKIMA_Y, 1.0)], ids=["RPN 14", "Akima"]
)
def test_knots_pass_steep_and_flat_data_without_overshoot(
    x: np.ndarray, y: np.ndarray, overshoots: float
) -> None:
    """Where an ordinary cubic spline swings out, the knots stay between the points and run one way."""
    fine = np.linspace(x[0], x[-1], 2000)
    assert np.abs(CubicSpline(x, y)(fine) - np.clip(CubicSpline(x, y)(fine), y.min(), y.max())).max() > (
        overshoots / 10
    )
    curve = np.interp(fine, x, y)
    knots = make_knots(
        Curves(command=fine, up_deg=curve, down_deg=curve, uncertainty_deg=np.ones(fine.size)), sense=1.0
    )
    commands = np.array(knots.command_up)
    assert (np.diff(commands) > 0).all()
    assert commands[0] == pytest.approx(x[0])
    assert commands[-1] == pytest.approx(x[-1])
    # the curve was handed over on a grid, which rounds the corners a little
    assert np.interp(commands, x, y) == pytest.approx(np.array(knots.angle_deg), abs=2e-3 * np.ptp(y))


def test_a_falling_drive_gives_rising_angles_and_falling_commands() -> None:
    command = np.linspace(1000, 2000, 101)
    middle = 60.0 - 0.12 * (command - 1000.0)
    knots = make_knots(
        Curves(command=command, up_deg=middle - 0.5, down_deg=middle + 0.5, uncertainty_deg=np.ones(101)),
        sense=-1.0,
    )
    assert (np.diff(knots.angle_deg) > 0).all()
    assert (np.diff(knots.command_up) < 0).all()
    # arriving from below the needle lags, so a falling drive has to be sent further down
    assert (np.array(knots.command_up) < np.array(knots.command_down)).all()
    assert (knots.angle_deg[0], knots.angle_deg[-1]) == pytest.approx((-59.5, 59.5))


def test_a_curve_that_turns_back_is_refused() -> None:
    command = np.linspace(0, 1, 101)
    curve = np.where(command < 0.5, 40 * command, 40 - 40 * command)
    with pytest.raises(FitError, match="the dial angle turns back along the commands"):
        make_knots(
            Curves(command=command, up_deg=curve, down_deg=curve, uncertainty_deg=np.ones(101)), sense=1.0
        )
