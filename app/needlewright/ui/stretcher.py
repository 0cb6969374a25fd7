"""Turns one drawing after the other into stretches, and keeps those that come again.

What a hand drags is a small part of a dial. The stretches below it and above it stay the same objects, so
whoever paints them sees at a glance that they need not be painted again.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtCore import Qt

from gaugecore.drawing.elements import AnyElement
from needlewright.ui.painting import Drawn, Recolour, Run, Stretch, drawn, own_colour, runs


class Stretcher:
    """Makes the stretches of drawings that differ little from one to the next."""

    def __init__(self) -> None:
        self._before: list[Drawn] = []
        self._runs: list[Run] = []

    def stretches(self, elements: Iterable[AnyElement], recolour: Recolour = own_colour) -> list[Stretch]:
        """Return what `painting.stretches` does, as the same objects where the drawing before was alike."""
        before, now = self._before, drawn(elements, recolour)
        below = _whole(self._runs, _alike(before, now))
        low = sum(count for _, count in below)
        rest = self._runs[len(below) :]
        above = _whole(rest[::-1], _alike(before[low:][::-1], now[low:][::-1]))[::-1]
        high = len(now) - sum(count for _, count in above)
        self._before, self._runs = now, [*below, *runs(now[low:high]), *above]
        return [piece for piece, _ in self._runs]


def _alike(before: Sequence[Drawn], now: Sequence[Drawn]) -> int:
    """Return how many at the start are the same."""
    pairs = enumerate(zip(before, now, strict=False))
    return next((at for at, (one, other) in pairs if one != other), min(len(before), len(now)))


def _whole(found: Sequence[Run], most: int) -> list[Run]:
    """Return the runs at the start that hold no more elements than so many, and cannot have grown."""
    kept: list[Run] = []
    for run in found:
        most -= run[1]
        if most < 0:
            break
        kept.append(run)
    # lines go on in the lines beside them, as long as those look alike
    if kept and kept[-1][0].brush.style() is Qt.BrushStyle.NoBrush:
        kept.pop()
    return kept
