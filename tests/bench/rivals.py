"""What else people do with such readings; each takes the readings and returns a map."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from scipy.interpolate import PchipInterpolator, make_smoothing_spline

from gaugecore.calibration.readings import Direction, Reading
from tests.bench.drives import Floats
from tests.bench.needle_error import Map


def _columns(readings: Sequence[Reading]) -> tuple[Floats, Floats, Floats]:
    side = [1.0 if r.direction is Direction.DOWN else -1.0 for r in readings]
    return np.array([r.command for r in readings]), np.array([r.angle_deg for r in readings]), np.array(side)


def _means(command: Floats, angle: Floats) -> tuple[Floats, Floats]:
    marks = np.unique(command)
    return marks, np.array([angle[command == c].mean() for c in marks])


def _inverted(command: Floats, angle: Floats) -> Map:
    rising = np.maximum.accumulate(angle) + 1e-9 * np.arange(angle.size)
    return lambda wanted, side: np.interp(wanted, rising, command)


def two_point_line(readings: Sequence[Reading]) -> Map:
    """Return the straight line through the first and the last mark."""
    marks, means = _means(*_columns(readings)[:2])
    return _inverted(marks[[0, -1]], means[[0, -1]])


def linear_interpolation(readings: Sequence[Reading]) -> Map:
    """Return straight pieces through the mean of both directions at every mark."""
    return _inverted(*_means(*_columns(readings)[:2]))


def cubic_polynomial(readings: Sequence[Reading]) -> Map:
    """Return a least-squares cubic."""
    command, angle, _ = _columns(readings)
    fine = np.linspace(command.min(), command.max(), 600)
    return _inverted(fine, np.polynomial.Polynomial.fit(command, angle, 3)(fine))


def isotonic(readings: Sequence[Reading]) -> Map:
    """Return scikit-learn's isotonic regression."""
    from sklearn.isotonic import IsotonicRegression

    command, angle, _ = _columns(readings)
    marks = np.unique(command)
    return _inverted(marks, IsotonicRegression().fit(command, angle).predict(marks))


def pchip(readings: Sequence[Reading]) -> Map:
    """Return scipy's monotone cubic through the means, made to rise first."""
    marks, means = _means(*_columns(readings)[:2])
    fine = np.linspace(marks[0], marks[-1], 600)
    return _inverted(fine, PchipInterpolator(marks, np.maximum.accumulate(means))(fine))


def smoothing_spline(readings: Sequence[Reading]) -> Map:
    """Return scipy's smoothing spline, its smoothness by generalised cross-validation."""
    marks, means = _means(*_columns(readings)[:2])
    fine = np.linspace(marks[0], marks[-1], 600)
    return _inverted(fine, make_smoothing_spline(marks, means)(fine))


def screened_pchip_with_offset(readings: Sequence[Reading]) -> Map:
    """Return the strong rival: rows far from a robust cubic left out, PCHIP of means, constant offset."""
    command, angle, side = _columns(readings)
    keep = np.ones(command.size, dtype=bool)
    terms = np.column_stack([((command - command.mean()) / np.ptp(command)) ** k for k in range(4)] + [side])
    for _ in range(10):
        solution, *_ = np.linalg.lstsq(terms[keep], angle[keep], rcond=None)
        residual = angle - terms @ solution
        spread = max(1.4826 * float(np.median(np.abs(residual))), 0.5)
        keep = np.abs(residual) <= 3.5 * spread
    levelled = angle - side * solution[4]
    marks, means = _means(command[keep], levelled[keep])
    fine = np.linspace(marks[0], marks[-1], 600)
    rising = PchipInterpolator(marks, np.maximum.accumulate(means))(fine) + 1e-9 * np.arange(600)
    return lambda wanted, s: np.interp(wanted - s * solution[4], rising, fine)


RIVALS: dict[str, Callable[[Sequence[Reading]], Map]] = {
    "two-point line": two_point_line,
    "linear interpolation": linear_interpolation,
    "cubic polynomial": cubic_polynomial,
    "isotonic (scikit-learn)": isotonic,
    "PCHIP (scipy)": pchip,
    "smoothing spline (scipy)": smoothing_spline,
    "PCHIP, screened, offset": screened_pchip_with_offset,
}
