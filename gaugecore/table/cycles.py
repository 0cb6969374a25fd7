"""How many cycles an 8-bit AVR takes to read a table, as measured by the form of its maps.

The figures are means over raw values in a simulated ATmega328P, avr-gcc 5.4 -Os, one map over 65,536 raw
values: ``python -m tests.bench table``, whose answers stand in ``docs/table.md``. A second map, a narrower
raw range or a clamp add some.
"""

from __future__ import annotations

from typing import Final

from gaugecore.table.knots import FreeKnots
from gaugecore.table.uniform import FINER, Uniform

#: Clock of the boards these figures are turned into times for.
CLOCK_HZ: Final = 16_000_000

_UNIFORM = (46, 46)
_FINER = (52, 52)
_FREE = (84, 87)
_WRITTEN_OUT = (51, 56)


def measured_cycles(form: Uniform | FreeKnots) -> tuple[int, int] | None:
    """Return the fewest and the most mean cycles measured for a form; None where none was measured.

    Examples
    --------
    >>> measured_cycles(Uniform(n=4, knots=(0, 9, 18), line_step=9))
    (46, 46)
    """
    if isinstance(form, FreeKnots):
        return _WRITTEN_OUT if form.written_out else _FREE
    if form.line_step is None:
        return None  # two bytes a knot: no table of the bench came out so
    return _FINER if form.fraction_bits == FINER else _UNIFORM
