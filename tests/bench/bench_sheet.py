"""The sheet bench: 200 discs, and 200 dials of three plates each, nested against three other packings.

``python -m tests.bench sheet`` takes about half a minute, nearly all of it the raster's. Wanted: each nesting
under 5 s, and within 5 % of the sheets of the best rival.
"""

from __future__ import annotations

import random
import time

from rich.console import Console
from rich.table import Table

from gaugecore.drawing.forms import Form, form_of
from gaugecore.drawing.nesting import nest
from gaugecore.drawing.shapes import polygon_of
from gaugecore.drawing.stock import Stock
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.pointer_plate import pointer_loop
from tests.bench.packings import RIVALS

DISCS = 200
DIAMETERS_MM = (40.0, 50.0, 60.0, 70.0, 80.0, 90.0)
SMALL, LARGE = Stock(), Stock(width_mm=600.0, height_mm=400.0)


def discs(seed: int) -> list[Form]:
    """Return 200 faces of the usual sizes."""
    chance = random.Random(seed)
    return [Form("face", radius_mm=chance.choice(DIAMETERS_MM) / 2.0) for _ in range(DISCS)]


def dials(seed: int) -> list[Form]:
    """Return 200 faces, each with its pointer and its bezel ring."""
    faces = discs(seed)
    pointers = [
        form_of("pointer", polygon_of(pointer_loop(Pointer(length_mm=0.8 * face.radius_mm, tail_mm=10.0))))
        for face in faces
    ]
    rings = [
        Form("ring", radius_mm=face.radius_mm + 5.0, holes=(((0.0, 0.0), face.radius_mm - 2.0),))
        for face in faces
    ]
    return [*faces, *pointers, *rings]


CASES = (
    ("200 discs of 60 mm", [Form("face", radius_mm=30.0)] * DISCS, SMALL),
    ("200 discs of 80 mm", [Form("face", radius_mm=40.0)] * DISCS, SMALL),
    ("200 discs of 40 to 90 mm", discs(1), SMALL),
    ("200 discs of 40 to 90 mm", discs(2), LARGE),
    ("200 faces, pointers and rings", dials(3), LARGE),
)


def run() -> None:
    """Print how many sheets each packing needs, and how long it takes."""
    table = Table(title="nesting: sheets needed (seconds of processor time)")
    table.add_column("pieces and sheet", width=30)
    for name in ("ours", *RIVALS):
        table.add_column(name, justify="right")
    table.add_column("against the best")
    for name, forms, stock in CASES:
        began = time.process_time()
        ours = len(nest(forms, stock))
        took_s = time.process_time() - began
        cells, counts = [], []
        for pack in RIVALS.values():
            began = time.process_time()
            counts.append(pack(forms, stock))
            cells.append(f"{counts[-1]} ({time.process_time() - began:.1f})")
        share = ours / min(counts)
        met = "met" if share <= 1.05 and took_s < 5.0 else "NOT MET"
        table.add_row(
            f"{name}, {stock.width_mm:g} x {stock.height_mm:g} mm",
            f"{ours} ({took_s:.1f})",
            *cells,
            f"{share:.0%}: {met}",
        )
    Console(width=140).print(table)
