"""A drawing as its writers take it: neighbouring elements that look alike together, from the bottom up.

A drawing is mostly lines and lettering, and a writer spends most of its time on their coordinates: so those
of a run are written all at once, and what the writers share is made once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property, lru_cache
from itertools import chain, groupby
from operator import attrgetter
from typing import Final, cast

import numpy as np
import orjson

from gaugecore.drawing.elements import AnyElement, Drawing, Line, Strokes
from gaugecore.drawing.layers import DECIMALS, LAYERS
from gaugecore.drawing.polylines import Array, Polylines

_ALIKE: Final = attrgetter("operation", "colour", "width_mm", "__class__")
_ENDS: Final = attrgetter("start_mm", "end_mm")


class Run:
    """Neighbouring elements of one operation, colour, line width and kind.

    Parameters
    ----------
    elements : sequence of Element
        At least one.
    """

    def __init__(self, elements: Sequence[AnyElement]) -> None:
        self.elements = elements
        self.first = elements[0]

    @property
    def straight(self) -> bool:
        """Return whether they are made of straight pieces only, as lines and lettering are."""
        return isinstance(self.first, (Line, Strokes))

    @cached_property
    def polylines(self) -> Polylines:
        """Return what straight elements draw, in order; a line is a polyline of two points."""
        if isinstance(self.first, Strokes):
            drawn = [strokes.polylines for strokes in cast("Sequence[Strokes]", self.elements)]
            lengths = chain.from_iterable(lines.lengths for lines in drawn)
            return Polylines(np.concatenate([lines.points_mm for lines in drawn]), tuple(lengths))
        lines = cast("Sequence[Line]", self.elements)
        numbers = chain.from_iterable(chain.from_iterable(map(_ENDS, lines)))
        points_mm = np.fromiter(numbers, dtype=np.float64).reshape(-1, 2)
        return Polylines(points_mm, (2,) * len(lines))

    def line_texts(
        self,
        *,
        between_numbers: str,
        between_points: str,
        placed: Callable[[Array], Array] | None = None,
    ) -> list[str]:
        """Return the coordinates of each polyline of straight elements as text, rounded to `DECIMALS`.

        Parameters
        ----------
        between_numbers, between_points : str
            What stands between x and y, and between y and the next point's x; no comma, semicolon or bracket.
        placed : callable, optional
            Takes all points, shape (n, 2), to where they are written.

        Examples
        --------
        >>> from gaugecore.drawing.elements import Operation
        >>> corner = Polylines.of([[(0.5, -1.25), (0.0, 7.1)], [(2.0, 3.0)]])
        >>> run = Run([Strokes(operation=Operation.CUT, part="corner", polylines=corner)])
        >>> run.line_texts(between_numbers=" ", between_points=" L")
        ['0.5 -1.25 L0.0 7.1', '2.0 3.0']
        """
        if not self.polylines:
            return []
        drawn = self.polylines
        text = self._text if placed is None else _text(placed(drawn.points_mm), drawn)
        return text.replace("],[", between_points).replace(",", between_numbers).split(";")

    @cached_property
    def _text(self) -> str:
        return _text(self.polylines.points_mm, self.polylines)


# one drawing is mostly written in several forms, one after the other
@lru_cache(maxsize=4)
def runs_of(drawing: Drawing) -> tuple[Run, ...]:
    """Return the runs of a drawing, from the bottom up."""
    together = [Run(list(alike)) for _, alike in groupby(drawing.elements, key=_ALIKE)]
    return tuple(sorted(together, key=lambda run: LAYERS.index(run.first.operation)))


def _text(points_mm: Array, drawn: Polylines) -> str:
    """Return points as text: ``;`` between polylines, ``],[`` between points, ``,`` between x and y.

    A library that writes JSON turns numbers into text many times faster than formatting them one by one. None
    gets more digits than it takes.
    """
    # + 0.0 makes nothing of minus nothing
    rounded = points_mm.round(DECIMALS) + 0.0
    alike = len(set(drawn.lengths)) == 1
    # graduations are all lines of two points, and one array is written faster than many
    lines = rounded.reshape(len(drawn), -1, 2) if alike else drawn.parted(rounded)
    text = orjson.dumps(lines, option=orjson.OPT_SERIALIZE_NUMPY).decode()
    return text[len("[[[") : -len("]]]")].replace("]],[[", ";")
