"""What the writers of pages share: the order of operations, the finest line, and where rounding happens."""

from __future__ import annotations

from typing import Final

from gaugecore.drawing.elements import Operation

#: A tenth of a micrometre, far below what any machine can do. Nothing before a writer rounds.
DECIMALS: Final = 4
#: What stands for "the thinnest line" on a page: thin enough to cut along, thick enough to see in print.
HAIRLINE_MM: Final = 0.1
#: From the bottom up.
LAYERS: Final = (
    Operation.PRINT,
    Operation.MASK,
    Operation.ENGRAVE,
    Operation.SCORE,
    Operation.CUT,
    Operation.GUIDE,
)
