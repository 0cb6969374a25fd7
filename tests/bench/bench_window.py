"""The window: edit to painted frame, opening, twenty dials against one, memory over many edits."""

from __future__ import annotations

import os
import resource
import sys
import time
from collections.abc import Callable
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


def run() -> None:
    """Print the figures beside the targets of the project."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtWidgets import QApplication, QMainWindow

    from needlewright.ui.look import Look
    from needlewright.ui.main_window import MainWindow

    application = QApplication.instance() or QApplication(["bench"])
    assert isinstance(application, QApplication)
    Look(application)
    sys.setswitchinterval(0.001)  # as `needlewright app` does
    table = Table(title=f"The window ({application.platformName()})")
    for head in ("what", "median", "95 %", "target"):
        table.add_column(head)
    _shown_s(application, QMainWindow)
    empty_s = _shown_s(application, QMainWindow)
    full_s = _shown_s(application, lambda: MainWindow(_dense_panel(1)))
    table.add_row("shown", f"{full_s:.2f} s", "", f"{1.3 * empty_s + 0.5:.2f} s")
    for dials in (1, 20):
        window = MainWindow(_dense_panel(dials))
        window.resize(1280, 720)
        window.show()
        _until(application, lambda window=window: bool(window.checking.findings))
        name = f"{dials} dense dial" + ("s" if dials > 1 else "")
        table.add_row(f"edit to painted frame, {name}", *_figures(_edits_ms(application, window)), _FRAME)
        table.add_row(f"needle to painted frame, {name}", *_figures(_needle_ms(application, window)), _FRAME)
        _end(application, window)
    table.add_row(
        f"growth over {_MANY_EDITS} edits", f"{_growth_mb(application):.1f} MB", "", "the undo list"
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
        window.document.edit(place, 41.0 + (at % 20) / 20.0, f"edit {at}")

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
    """Return how much the process grows over many edits whose steps are forgotten."""
    from needlewright.ui.main_window import MainWindow

    window = MainWindow(_dense_panel(1))
    window.show()
    place = ("instruments", "dial-1", "face", "graduations", "outer_radius_mm")
    before_kb = 0
    for at in range(_MANY_EDITS + 1000):
        if at == 1000:
            before_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        window.document.edit(place, 41.0 + (at % 20) / 20.0, "edit")
        if at % 100 == 99:
            window.document.steps.clear()
            application.processEvents()
    after_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    _end(application, window)
    return (after_kb - before_kb) / 1024.0


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


def _figures(taken_ms: list[float]) -> tuple[str, str]:
    return f"{np.median(taken_ms):.1f} ms", f"{np.percentile(taken_ms, 95):.1f} ms"
