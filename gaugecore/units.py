"""Conversions between units; the only place where they are written down.

Inside the core a quantity has one unit, and its name says it. Conversion happens at the edge.
"""

from __future__ import annotations

from typing import Final

#: What a command counts, by the kind of movement.
COMMAND_UNITS: Final = {"servo": "µs", "stepper": "steps"}

MM_PER_INCH = 25.4  # exact, international inch (1959)
POINTS_PER_INCH = 72.0  # PDF user space, ISO 32000; reportlab/lib/units.py


def mm_to_pt(length_mm: float) -> float:
    """Return a length in PDF points.

    Examples
    --------
    >>> round(mm_to_pt(100.0), 4)
    283.4646
    """
    return length_mm * POINTS_PER_INCH / MM_PER_INCH


def with_unit(figure: str, unit: str) -> str:
    """Return a figure and its unit: a degree sign follows closely (SI brochure, 5.4.3), others apart.

    Examples
    --------
    >>> with_unit("35", "°"), with_unit("400", "rpm"), with_unit("7", "")
    ('35°', '400 rpm', '7')
    """
    return f"{figure}{unit}" if unit in ("", "°") else f"{figure} {unit}"
