"""Paper."""

from __future__ import annotations

from enum import Enum


class Page(Enum):
    """Sizes of paper, upright: width and height in mm (A sizes: ISO 216; Letter: 8.5 by 11 in)."""

    A3 = (297.0, 420.0)
    A4 = (210.0, 297.0)
    LETTER = (215.9, 279.4)

    @property
    def width_mm(self) -> float:
        """Return the shorter side."""
        return self.value[0]

    @property
    def height_mm(self) -> float:
        """Return the longer side."""
        return self.value[1]
