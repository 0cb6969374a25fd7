"""Open polylines as one frozen value: lettering has thousands of points, and every writer wants them all."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, chain, pairwise
from typing import overload

import numpy as np
from numpy.typing import NDArray

from gaugecore.polar import Point

Array = NDArray[np.float64]
Polyline = tuple[Point, ...]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Polylines(Sequence[Polyline]):
    """Polylines one after the other, compared and hashed as a value.

    Attributes
    ----------
    points_mm : ndarray, shape (n, 2)
        x and y of all points. It is taken over, and can be read only from then on.
    lengths : tuple of int
        How many points each polyline has, at least one; n in all.

    Examples
    --------
    >>> corner = Polylines.of([((0.0, 5.0), (0.0, 0.0), (5.0, 0.0))])
    >>> len(corner), corner[0][1]
    (1, (0.0, 0.0))
    >>> corner == Polylines.of([[(0, 5), (0, 0), (5, 0)]])
    True
    """

    points_mm: Array
    lengths: tuple[int, ...]

    def __post_init__(self) -> None:
        self.points_mm.setflags(write=False)

    @classmethod
    def of(cls, polylines_mm: Iterable[Sequence[Point]]) -> Polylines:
        """Return polylines given point by point."""
        lines = list(polylines_mm)
        numbers = chain.from_iterable(chain.from_iterable(lines))
        points_mm = np.fromiter(numbers, dtype=np.float64).reshape(-1, 2)
        return cls(points_mm, tuple(map(len, lines)))

    def parted(self, points: Array) -> list[Array]:
        """Return what has been made of all points, polyline by polyline."""
        return [points[start:end] for start, end in self._stretches()]

    def __len__(self) -> int:
        return len(self.lengths)

    @overload
    def __getitem__(self, at: int) -> Polyline: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[Polyline, ...]: ...
    def __getitem__(self, at: int | slice) -> Polyline | tuple[Polyline, ...]:
        return tuple(self)[at]

    def __iter__(self) -> Iterator[Polyline]:
        points = list(zip(*self.points_mm.T.tolist(), strict=True))
        return (tuple(points[start:end]) for start, end in self._stretches())

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Polylines):
            return NotImplemented
        return self.lengths == other.lengths and np.array_equal(self.points_mm, other.points_mm)

    def __hash__(self) -> int:
        # nothing and minus nothing are equal, so their bytes must be
        return hash((self.lengths, (self.points_mm + 0.0).tobytes()))

    def _stretches(self) -> Iterator[tuple[int, int]]:
        return pairwise(accumulate(self.lengths, initial=0))

    def __repr__(self) -> str:
        return f"Polylines.of({list(self)!r})"
