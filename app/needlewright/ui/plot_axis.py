"""The axes of the plots: numbers with the minus sign of print."""

from __future__ import annotations

from typing import Any

import pyqtgraph

from needlewright.ui.translation import with_minus


class _Axis(pyqtgraph.AxisItem):  # type: ignore[misc]
    def __init__(self, side: str) -> None:
        super().__init__(side)
        # half a degree is 0.5°, not 500 thousandths
        self.enableAutoSIPrefix(False)

    def tickStrings(self, values: Any, scale: float, spacing: float) -> list[str]:
        return [with_minus(text) for text in super().tickStrings(values, scale, spacing)]


def axes() -> dict[str, Any]:
    """Return fresh axes for the left and the lower edge of a plot."""
    return {side: _Axis(side) for side in ("left", "bottom")}
