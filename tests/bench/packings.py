"""What else packs plates on sheets: three rivals of `gaugecore.drawing.nesting`, each returns a sheet count.

Gap and margin are honoured by all: pieces grow by half a gap, and the sheet by half a gap less its margins.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from gaugecore.drawing.forms import Form
from gaugecore.drawing.stock import Stock

Masks = NDArray[np.bool_]


def room(stock: Stock) -> tuple[float, float]:
    """Return the width and height that grown pieces share."""
    less = 2.0 * stock.margin_mm - stock.gap_mm
    return stock.width_mm - less, stock.height_mm - less


def rectangles(forms: Sequence[Form], stock: Stock) -> int:
    """Pack the boxes of the pieces with a library, several ways, and take the best."""
    import rectpack

    width, height = room(stock)
    best = 10**9
    for algorithm in (rectpack.MaxRectsBssf, rectpack.MaxRectsBaf, rectpack.SkylineMwfl):
        packer = rectpack.newPacker(
            mode=rectpack.PackingMode.Offline, pack_algo=algorithm, sort_algo=rectpack.SORT_AREA
        )
        for form in forms:
            packer.add_rect(form.box.width_mm + stock.gap_mm, form.box.height_mm + stock.gap_mm)
        packer.add_bin(width, height, count=float("inf"))
        packer.pack()
        best = min(best, len(packer))
    return best


def hexagonal_rows(forms: Sequence[Form], stock: Stock) -> int:
    """Lay discs of one size in staggered rows, size after size; the rest as boxes in rows of their own."""
    width, height = room(stock)
    pitches: list[tuple[float, float, int]] = []
    key = lambda form: (form.radius_mm, form.box.width_mm, form.box.height_mm)  # noqa: E731
    for _, same in groupby(sorted(forms, key=key, reverse=True), key=key):
        alike = list(same)
        across, up = alike[0].box.width_mm + stock.gap_mm, alike[0].box.height_mm + stock.gap_mm
        per_row = int((width + 1e-6) // across)
        left, row = len(alike), 0
        while left > 0:
            shifted = alike[0].radius_mm and row % 2 and (width + 1e-6) < across * (per_row + 0.5)
            pitch = up * math.sqrt(0.75) if row and alike[0].radius_mm else up
            pitches.append((pitch, up, row))
            left -= per_row - 1 if shifted else per_row
            row += 1
    sheets, used = 1, 0.0
    for pitch, whole, _ in pitches:
        step = whole if used == 0.0 else pitch
        if used + step > height + 1e-6:
            sheets, used, step = sheets + 1, 0.0, whole
        used += step
    return sheets


def raster(forms: Sequence[Form], stock: Stock, *, cell_mm: float = 1.0) -> int:
    """Put every piece into the lowest, then leftmost free cells of a raster, the largest piece first."""
    from scipy.signal import fftconvolve
    from shapely import contains_xy

    size = tuple(int(length / cell_mm) for length in reversed(room(stock)))
    masks: dict[Form, Masks] = {}

    def mask(form: Form) -> Masks:
        if form not in masks:
            grown = form.polygon.buffer(stock.gap_mm / 2.0 + cell_mm * 0.5)
            left, bottom, right, top = grown.bounds
            xs = np.arange(left, right + cell_mm, cell_mm)
            ys = np.arange(bottom, top + cell_mm, cell_mm)
            masks[form] = contains_xy(grown, *np.meshgrid(xs, ys))
        return masks[form]

    sheets: list[Masks] = []
    full: set[tuple[Form, int]] = set()
    for form in sorted(forms, key=lambda form: -form.polygon.area):
        turned = [form.turned_by(deg) for deg in ((0.0, 90.0) if form.turns else (0.0,))]
        for number in range(len(sheets) + 1):
            if number == len(sheets):
                sheets.append(np.zeros(size, dtype=bool))
            found = None
            for one in turned:
                if (one, number) in full:
                    continue
                hits = fftconvolve(sheets[number].astype(float), mask(one)[::-1, ::-1].astype(float), "valid")
                free = np.argwhere(hits < 0.5)
                if not len(free):
                    full.add((one, number))
                elif found is None or tuple(free[0]) < found[1]:
                    found = one, tuple(free[0])
            if found is not None:
                one, (row, column) = found
                rows, columns = mask(one).shape
                sheets[number][row : row + rows, column : column + columns] |= mask(one)
                break
    return len(sheets)


RIVALS: dict[str, Callable[[Sequence[Form], Stock], int]] = {
    "boxes, a library's best of three": rectangles,
    "rows of discs, staggered": hexagonal_rows,
    "raster of 1 mm, lowest free cells": raster,
}
