"""The picture of a replay: nothing in it lies on anything else."""

from __future__ import annotations

import numpy as np
import pytest

from gaugecore.movement.pointer import Pointer
from gaugecore.movement.replay import replay
from gaugecore.movement.servo import Servo
from gaugecore.movement.trace_plot import _figure
from gaugecore.movement.train import Direct


@pytest.mark.parametrize("times_a_second", [0.05, 0.5, 2.0])
def test_the_legend_lies_on_no_curve_and_no_axis(times_a_second: float) -> None:
    time_s = np.arange(0.0, 10.0, 0.05)
    wanted_deg = 60.0 * np.sin(2.0 * np.pi * times_a_second * time_s)
    figure = _figure(replay(time_s, wanted_deg, Servo(), Direct(), Pointer(length_mm=25.0)), "Rudder")
    figure.draw_without_rendering()
    (legend,) = figure.legends
    box = legend.get_window_extent()
    assert [text.get_text() for text in legend.get_texts()] == ["wanted", "commanded", "needle"]
    for axes in figure.axes:
        assert axes.get_legend() is None
        assert not box.overlaps(axes.get_tightbbox())
