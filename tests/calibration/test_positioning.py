"""ISO 230-2 on a published data set: a motion test report with raw data and results.

The report prints R and E by other definitions than the standard's; its two figures are not copied. What it
prints otherwise agrees within 2e-5 mm; the figures recomputed from its data within 1e-6 mm.
"""

from __future__ import annotations

import numpy as np
import pytest

from gaugecore.calibration.positioning import positioning
from gaugecore.calibration.span_figures import span_figures
from gaugecore.errors import FitError

TARGETS_MM = (15.0, 25.2, 35.4, 45.6, 55.8)
UP_MM = (
    (15.00335, 15.00233, 15.00172, 15.00213, 15.00172),
    (25.19974, 25.20015, 25.20096, 25.20056, 25.20056),
    (35.40102, 35.39960, 35.40225, 35.40306, 35.40449),
    (45.59151, 45.59090, 45.59212, 45.59090, 45.58947),
    (55.80583, 55.80624, 55.80685, 55.80562, 55.80562),
)
DOWN_MM = (
    (15.00518, 15.00518, 15.00416, 15.00335, 15.00314),
    (25.19628, 25.19607, 25.19567, 25.19587, 25.19526),
    (35.39817, 35.39837, 35.39980, 35.39939, 35.40000),
    (45.59232, 45.59191, 45.59293, 45.59191, 45.59151),
    (55.80705, 55.80725, 55.80705, 55.80705, 55.80644),
)
UP = [np.array(row) - target for row, target in zip(UP_MM, TARGETS_MM, strict=True)]
DOWN = [np.array(row) - target for row, target in zip(DOWN_MM, TARGETS_MM, strict=True)]

# recomputed from the raw data by the definitions; where the report departs from them, it is not copied
RECOMPUTED = {
    "mean_up": (0.002250, 0.000394, 0.002084, -0.009020, 0.006032),
    "mean_down": (0.004202, -0.004170, -0.000854, -0.007884, 0.006968),
    "mean": (0.003226, -0.001888, 0.000615, -0.008452, 0.006500),
    "reversal": (-0.001952, 0.004564, 0.002938, -0.001136, -0.000936),
    "reversal_largest": 0.004564,
    "reversal_mean": 0.000696,
    "spread_up": (0.000669, 0.000464, 0.001876, 0.000984, 0.000523),
    "spread_down": (0.000971, 0.000391, 0.000832, 0.000538, 0.000308),
    "repeatability_at": (0.005232, 0.006275, 0.008354, 0.004179, 0.002597),
    "repeatability_up": 0.007502,
    "repeatability_down": 0.003883,
    "repeatability": 0.008354,
    "systematic_up": 0.015052,
    "systematic_down": 0.014852,
    "systematic": 0.015988,
    "mean_range": 0.014952,
    "accuracy_up": 0.018065,
    "accuracy_down": 0.016543,
    "accuracy": 0.018571,
}


@pytest.mark.parametrize("name", RECOMPUTED)
def test_the_published_data_give_the_recomputed_figures(name: str) -> None:
    found = getattr(positioning(UP, DOWN), name)
    assert found == pytest.approx(RECOMPUTED[name], abs=1e-6)


@pytest.mark.parametrize(
    ("name", "printed"),
    [("accuracy", 0.01858), ("accuracy_up", 0.01806), ("accuracy_down", 0.01655), ("mean_range", 0.01495),
     ("reversal_largest", 0.00456), ("repeatability_up", 0.00750), ("repeatability_down", 0.00388)],
)  # fmt: skip
def test_what_the_report_prints_by_the_same_definition_agrees(name: str, printed: float) -> None:
    assert getattr(positioning(UP, DOWN), name) == pytest.approx(printed, abs=2e-5)


def test_the_two_figures_that_the_report_defines_otherwise_are_not_copied() -> None:
    found = positioning(UP, DOWN)
    assert abs(found.repeatability - 0.0075) > 5e-4
    assert abs(found.systematic - 0.01485) > 5e-4


def test_figures_in_percent_of_span_by_43_cfr_3175_135_on_the_same_data() -> None:
    """43 CFR 3175.135 applied to the same data, span 40.8 mm; the figures were computed for this test."""
    found = span_figures(UP, DOWN, span=40.8)
    assert found.hysteresis_percent == pytest.approx(0.01299, abs=5e-6)
    assert found.repeatability_percent == pytest.approx(0.01199, abs=5e-6)
    assert found.maximum_error_percent == pytest.approx(0.02581, abs=5e-6)
    assert found.pairs == 5


def test_hysteresis_of_a_training_sheet() -> None:
    """Data of a public training sheet on pressure gauges; the result, 3.08 of 50, was computed."""
    actual = np.arange(100.0, 151.0, 10.0)
    up = np.array([103.4, 111.65, 123.67, 130.26, 141.49, 152.09]) - actual
    down = np.array([103.4, 114.63, 122.47, 133.34, 143.32, 152.09]) - actual
    found = span_figures([[u] for u in up], [[d] for d in down], span=50.0)
    assert found.hysteresis_percent == pytest.approx(6.16)
    assert found.repeatability_percent is None


def test_a_target_approached_once_is_refused() -> None:
    with pytest.raises(FitError, match="every target approached from both sides again and again"):
        positioning([[0.1]], [[0.2]])
    with pytest.raises(FitError, match="need a span and every target read from both sides"):
        span_figures([], [], span=40.0)
