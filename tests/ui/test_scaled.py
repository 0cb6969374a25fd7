"""Screens on which the window's pixels are larger than their own."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from gaugecore.panel.document import Panel
from needlewright.ui.output_preview import OutputPreview
from needlewright.ui.output_work import record_pdf


@pytest.mark.parametrize("scale", ["1", "1.5", "2"])
def test_true_size_is_true_and_face_needle_and_rulers_lie_on_the_pixels(scale: str) -> None:
    words = [sys.executable, "-m", "tests.ui.scaled_window"]
    env = {**os.environ, "QT_SCALE_FACTOR": scale, "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(words, env=env, capture_output=True, text=True, timeout=60, check=True)
    seen = json.loads(done.stdout)
    assert seen["ratio"] == float(scale)
    assert seen["mm_of_true_size"] == pytest.approx(seen["mm_of_screen"])
    # as much of a dark face is seen left as right of the light needle that just covers it
    left, right = seen["fringe"]
    assert left == pytest.approx(right, abs=3)
    assert seen["tick_widths"] == [int(float(scale))]


def test_a_page_of_the_record_has_the_pixels_it_is_shown_with(panel: Panel, qtbot: object) -> None:
    preview = OutputPreview([], record_pdf(panel))
    preview.show()
    page = preview.page
    sizes = set()
    for size in ((880, 640), (1200, 900)):
        preview.resize(*size)
        page.grab()
        assert page._picture.height() == pytest.approx((page.height() - 32) * page.devicePixelRatioF(), abs=1)
        sizes.add(page._picture.height())
    assert len(sizes) == 2
    preview.close()
