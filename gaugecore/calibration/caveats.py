"""What the fit could not know, and what looks amiss, as sentences."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from gaugecore.calibration.lost_steps import LostSteps
from gaugecore.calibration.problem import Problem
from gaugecore.calibration.result import Reversal, SuspectRow
from gaugecore.calibration.row_order import RowOrder
from gaugecore.calibration.suspects import AT_STOP, OUTSIDE_LIMITS

_FEW_READINGS = 11
_COARSE_DEG = 2.0
# The supposed drift is mostly small, so what is found of a real one is shrunk towards none: over drives 3000
# to 3034 of tests/bench without drift, no ratio to its uncertainty was above 0.8.
_DRIFT_SURE = 1.2
_LEAST_DRIFT_DEG = 0.3
_MANY_ROWS = 12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Knowledge:
    """What is known about the readings when the warnings are written."""

    order: RowOrder
    problem: Problem
    lost: LostSteps | None
    drift_deg: tuple[float, float]
    reversal: Reversal
    suspects: tuple[SuspectRow, ...]


def caveats_of(known: Knowledge) -> tuple[str, ...]:
    """Return the sentences, the most pressing first."""
    return tuple(_sentences(known))


def _sentences(known: Knowledge) -> Iterator[str]:
    seen = known.order.seen
    if known.lost is not None:
        row = int(known.problem.seen.row.max()) + 1
        shift = abs(known.lost.shift_deg)
        yield (
            f"steps were lost before row {row}, by about {shift:.1f}°; rows from there on "
            "are left out: home the stepper and read again"
        )
    outside = [s.row for s in known.suspects if s.reason == OUTSIDE_LIMITS]
    if outside:
        yield f"{_rows(outside)} lie outside the command limits and are left out"
    at_stop = [s.row for s in known.suspects if s.reason.startswith(AT_STOP)]
    if at_stop:
        yield (
            f"{_rows(at_stop)} stood at an end stop; the map ends short of it: "
            "find the stops first and keep the sweep inside them"
        )
    yield from _on_direction(known)
    drift, u = known.drift_deg
    if abs(drift) > max(_LEAST_DRIFT_DEG, _DRIFT_SURE * u):
        yield (
            f"the drive moved while it was read: the first rows are off by about {drift:+.1f}°; "
            "let it warm up, or read the first mark again at the end"
        )
    if seen.size < _FEW_READINGS:
        yield f"{seen.size} readings leave room for bends between them that nothing shows; take at least 15"
    if seen.resolution_deg >= _COARSE_DEG:
        yield f"the angles seem to be read in steps of {seen.resolution_deg:g}°; read to 1° or finer"


def _on_direction(known: Knowledge) -> Iterator[str]:
    order = known.order
    if not known.problem.sided:
        sides = {-1.0: "below only", 1.0: "above only", 0.0: "sides that were not noted"}
        noted = order.seen.side[order.seen.side != 0]
        which = sides[float(noted[0])] if noted.size else sides[0.0]
        yield (
            f"reversal is not known: the needle was read arriving from {which}; the other "
            "direction is taken to be the same, and its uncertainty is a guess"
        )
    elif known.reversal.standard_uncertainty is not None and known.reversal.standard_uncertainty > 0.5:
        yield "reversal is poorly known: read more marks from both sides"
    if order.filled.any():
        yield f"the direction of {_rows(order.seen.row[order.filled])} is taken from the order of the rows"
    unknown = order.seen.side == 0
    if unknown.any() and known.problem.sided:
        yield f"{_rows(order.seen.row[unknown])} have no direction and count halfway between both"


def _rows(rows: Iterable[int] | np.ndarray) -> str:
    numbers = [int(row) for row in rows]
    shown = ", ".join(str(row) for row in numbers[:_MANY_ROWS])
    more = f" and {len(numbers) - _MANY_ROWS} more" if len(numbers) > _MANY_ROWS else ""
    return f"row{'s' if len(numbers) > 1 else ''} {shown}{more}"
