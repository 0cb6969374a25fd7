"""Unsaved changes survive a window that is killed, and are forgotten by one that closes in good order."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from gaugecore.panel.document import Panel
from needlewright.ui.opening import offer_left_behind
from needlewright.ui.recovery import left_behind, recovery_folder

_WINDOW_THAT_WAITS = """
import os, sys
from PySide6.QtCore import QTimer
from gaugecore.panel.starter import starter_panel
from needlewright.ui.opening import application
from needlewright.ui.main_window import MainWindow
app = application()
window = MainWindow(starter_panel("Desk"))
window.show()
window.document.edit(("instruments", "dial-1", "title"), "Unsaved µ", "title")
def look():
    if window.recovery._path.exists():
        print("kept", flush=True)
    else:
        QTimer.singleShot(50, look)
window.recovery._pause.setInterval(0)
window.document.edit(("instruments", "dial-1", "unit"), "kn", "unit")
look()
app.exec()
"""


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))


@pytest.mark.slow
def test_a_killed_window_leaves_its_changes_and_the_next_one_opens_them(
    make_window: Any, panel: Panel, monkeypatch: pytest.MonkeyPatch, qapp: Any
) -> None:
    before = qapp.applicationName()
    qapp.setApplicationName("needlewright")
    qapp.setOrganizationName("needlewright")
    try:
        process = subprocess.Popen(
            [sys.executable, "-c", _WINDOW_THAT_WAITS], stdout=subprocess.PIPE, env=os.environ.copy()
        )
        assert process.stdout is not None
        assert process.stdout.readline() == b"kept\n"
        assert left_behind() == []  # its window lives
        process.kill()  # SIGKILL, and what Windows has for it: no chance to tidy up
        process.wait()
        process.stdout.close()
        ((path, left),) = left_behind()
        assert (left.instruments[0].title, left.instruments[0].unit) == ("Unsaved µ", "kn")
        window = make_window(panel)
        from PySide6.QtWidgets import QMessageBox

        monkeypatch.setattr(QMessageBox, "question", lambda *_: QMessageBox.StandardButton.Open)
        offer_left_behind(window)
        assert window.document.panel == left
        assert window.document.unsaved
        assert not path.exists()
    finally:
        qapp.setApplicationName(before)
        qapp.setOrganizationName("")


def test_a_window_that_closes_in_good_order_leaves_nothing(make_window: Any, panel: Panel) -> None:
    window = make_window(panel)
    window.document.edit(("instruments", "dial-1", "title"), "x", "title")
    assert window.recovery.keep_now() is not None
    window.document.steps.setClean()
    window.close()
    assert not list(recovery_folder().glob("*.panel.json"))


def test_a_mistake_of_the_program_is_one_sentence_and_the_work_is_put_aside(
    make_window: Any, panel: Panel
) -> None:
    window = make_window(panel)
    window.document.edit(("instruments", "dial-1", "title"), "x", "title")
    window.mishap.show_error(ZeroDivisionError("division by zero"))
    assert "The program made a mistake (ZeroDivisionError: division by zero)." in window.strip.text
    assert "Your changes are safe in" in window.strip.text
    assert list(recovery_folder().glob("*.panel.json"))
