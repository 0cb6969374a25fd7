"""Windows for tests: offscreen, settings in a scratch folder, and nothing left behind."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QSettings, QThreadPool
from PySide6.QtWidgets import QApplication

from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.readings import read_readings
from gaugecore.panel.document import Calibration, Panel, Session
from gaugecore.panel.store import load_panel
from needlewright.samples import sample_path, samples_folder
from needlewright.ui.look import Look
from needlewright.ui.main_window import MainWindow
from tests.crowded_panel import crowded_panel

MakeWindow = Callable[..., MainWindow]


@pytest.fixture(autouse=True)
def own_settings(tmp_path: Path) -> None:
    """Settings of a test never touch those of the user."""
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    for scope in (QSettings.Scope.UserScope, QSettings.Scope.SystemScope):
        QSettings.setPath(QSettings.Format.IniFormat, scope, str(tmp_path / "settings"))


@pytest.fixture
def panel() -> Panel:
    return crowded_panel("Desk")


@pytest.fixture
def make_window(qapp: QApplication) -> Iterator[MakeWindow]:
    """Make windows; afterwards no widget and no thread may be left."""
    if not qapp.styleSheet():
        Look(qapp)
    threads_before = set(threading.enumerate())
    made: list[MainWindow] = []

    def make(panel: Panel) -> MainWindow:
        window = MainWindow(panel)
        made.append(window)
        window.show()
        return window

    yield make
    for window in made:
        window.document.steps.setClean()  # nobody is there to be asked
        window.close()
        window.deleteLater()
    made.clear()
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    qapp.processEvents()
    left = [
        widget for widget in qapp.topLevelWidgets() if widget.isVisible() or isinstance(widget, MainWindow)
    ]
    assert not left, f"widgets were left behind: {left}"
    assert QThreadPool.globalInstance().activeThreadCount() == 0
    new_threads = set(threading.enumerate()) - threads_before
    assert not [thread for thread in new_threads if not isinstance(thread, threading._DummyThread)]


@pytest.fixture(scope="session")
def calibrated() -> Panel:
    """The rudder of the ferry with its fit, and the other dials without."""
    panel = load_panel(sample_path("ferry-bridge"))
    rudder = panel.instrument("rudder")
    assert rudder is not None
    readings = read_readings(samples_folder() / "ferry-bridge.rudder.readings.csv")
    session = Session(readings=readings, fit=fit_readings(readings))
    calibration = Calibration(sessions=(session,))
    return panel.with_instrument(rudder.model_copy(update={"calibration": calibration}))
