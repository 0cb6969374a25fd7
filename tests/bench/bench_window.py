"""The window: edit to painted frame, drags, opening, twenty dials against one, memory over many edits.

It runs without a screen; on a virtual one with ``QT_QPA_PLATFORM=xcb xvfb-run python -m tests.bench window``.
"""

from __future__ import annotations

import os
import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from rich.console import Console
from rich.table import Table

from gaugecore.face.face import Face, Graduations, Legend, Numerals, Sector
from gaugecore.face.scale import LinearScale
from gaugecore.panel.document import Panel
from gaugecore.panel.edit import with_value
from gaugecore.panel.starter import starter_panel

_EDITS = 200
_MANY_EDITS = int(os.environ.get("NEEDLEWRIGHT_BENCH_EDITS", "2000"))
_FRAME = "16 ms at 95 %"
_DRAG = "16.7 ms at worst"


def run() -> None:
    """Print the figures beside the targets of the project."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtWidgets import QApplication, QMainWindow

    from needlewright.ui.look import Look
    from needlewright.ui.main_window import MainWindow
    from needlewright.ui.tidying import Tidying
    from tests.bench.window_drags import DRAGS, frames_ms

    application = QApplication.instance() or QApplication(["bench"])
    assert isinstance(application, QApplication)
    Look(application)
    sys.setswitchinterval(0.001)  # as `needlewright app` does
    table = Table(title=f"The window ({application.platformName()})")
    for head in ("what", "median", "95 %", "worst", "target"):
        table.add_column(head)
    _shown_s(application, QMainWindow)
    empty_s = _shown_s(application, QMainWindow)
    full_s = _shown_s(application, lambda: MainWindow(_dense_panel(1)))
    table.add_row("shown", f"{full_s:.2f} s", "", "", f"{1.3 * empty_s + 0.5:.2f} s")
    for dials in (1, 20):
        window = MainWindow(_dense_panel(dials))
        Tidying(window)  # as `needlewright app` does
        window.resize(1280, 720)
        window.show()
        _until(application, lambda window=window: bool(window.checking.findings))
        name = f"{dials} dense dial" + ("s" if dials > 1 else "")
        table.add_row(f"edit to painted frame, {name}", *_figures(_edits_ms(application, window)), _FRAME)
        table.add_row(f"needle to painted frame, {name}", *_figures(_needle_ms(application, window)), _FRAME)
        for drag in DRAGS:
            table.add_row(f"drag of {drag.name}, {name}", *_figures(frames_ms(window, drag)), _DRAG)
        _end(application, window)
    table.add_row(
        f"growth over {_MANY_EDITS} edits", f"{_growth_mb(application):.1f} MB", "", "", "the undo list"
    )
    Console().print(table)


def _dense_panel(dials: int) -> Panel:
    """Return dials with 501 graduations, 21 numerals, sectors and legends."""
    face = Face(
        diameter_mm=90.0,
        centre_hole_mm=6.0,
        scale=LinearScale(low_value=0, high_value=1000, low_deg=-150, high_deg=150),
        graduations=Graduations(outer_radius_mm=42.0, major_step=50, intermediate_step=10, minor_step=2),
        numerals=Numerals(radius_mm=31.0, height_mm=3.5),
        sectors=tuple(
            Sector(
                low_value=200.0 * at,
                high_value=200.0 * at + 150.0,
                inner_radius_mm=42.5,
                outer_radius_mm=44.0,
                colour="#1e7a3c",
            )
            for at in range(5)
        ),
        legends=tuple(Legend(text="SHAFT SPEED", y_mm=-6.0 - 5.0 * at) for at in range(4)),
    )
    panel = starter_panel("Bench")
    first = panel.instruments[0]
    made = tuple(first.model_copy(update={"id": f"dial-{at + 1}", "face": face}) for at in range(dials))
    return with_value(panel, ("instruments",), made)


def _edits_ms(application: Any, window: Any) -> list[float]:
    place = ("instruments", "dial-1", "face", "graduations", "outer_radius_mm")

    def edit(at: int) -> None:
        # never a value that it had before: what was kept from an earlier edit would flatter this one
        window.document.edit(place, 41.0 + at / 400.0, f"edit {at}")

    return _frames_ms(application, window, edit)


def _needle_ms(application: Any, window: Any) -> list[float]:
    return _frames_ms(application, window, lambda at: window.desk.show_value(float(at * 3 % 1000)))


def _frames_ms(application: Any, window: Any, do: Callable[[int], None]) -> list[float]:
    taken = []
    for at in range(_EDITS):
        start_s = time.perf_counter()
        do(at)
        window.dial.canvas.repaint()
        taken.append(1000.0 * (time.perf_counter() - start_s))
        application.processEvents()
    return taken


def _growth_mb(application: Any) -> float:
    """Return how much more the process holds after many painted edits whose steps are forgotten."""
    from needlewright.ui.main_window import MainWindow

    window = MainWindow(_dense_panel(1))
    window.show()
    place = ("instruments", "dial-1", "face", "graduations", "outer_radius_mm")
    before_mb = 0.0
    for at in range(_MANY_EDITS + 1000):
        if at == 1000:
            before_mb = _held_mb()
        window.document.edit(place, 41.0 + (at % 997) / 2000.0, "edit")
        window.dial.canvas.repaint()
        if at % 100 == 99:
            window.document.steps.clear()
            application.processEvents()
    growth_mb = _held_mb() - before_mb
    _end(application, window)
    return growth_mb


def _held_mb() -> float:
    """Return the memory the process holds now; where the system does not say, the most it ever held."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return pages * resource.getpagesize() / 2.0**20


def _until(application: Any, true: Callable[[], bool]) -> None:
    """Let the first check of a whole panel end: what is measured is an edit, not the opening."""
    deadline_s = time.monotonic() + 60.0
    while not true() and time.monotonic() < deadline_s:
        application.processEvents()
        time.sleep(0.01)


def _shown_s(application: Any, make: Callable[[], Any]) -> float:
    start_s = time.perf_counter()
    window = make()
    window.show()
    application.processEvents()
    window.grab()
    taken_s = time.perf_counter() - start_s
    _end(application, window)
    return taken_s


def _end(application: Any, window: Any) -> None:
    if hasattr(window, "document"):
        window.document.steps.setClean()
    window.close()
    window.deleteLater()
    application.processEvents()


def _figures(taken_ms: list[float]) -> tuple[str, str, str]:
    figures = np.median(taken_ms), np.percentile(taken_ms, 95), max(taken_ms)
    median, most, worst = (f"{figure:.1f} ms" for figure in figures)
    return median, most, worst
