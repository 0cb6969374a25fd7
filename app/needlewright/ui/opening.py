"""Opens the window: the application, its look, the net under it."""

from __future__ import annotations

import datetime
import sys
from pathlib import Path

from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QApplication, QMessageBox

from gaugecore.panel.starter import starter_panel
from needlewright.ui.look import Look
from needlewright.ui.main_window import MainWindow
from needlewright.ui.recovery import left_behind
from needlewright.ui.translation import load_translations, translate


def application(words: list[str] | None = None) -> QApplication:
    """Return the application, made if need be, with its name and look."""
    running = QApplication.instance()
    if isinstance(running, QApplication):
        return running
    made = QApplication(words or ["needlewright"])
    made.setApplicationName("needlewright")
    made.setOrganizationName("needlewright")
    made.setApplicationDisplayName("Needlewright")
    Look(made)
    load_translations(made, QLocale.system())
    # work in the background must not keep the window waiting for longer than this when it paints
    sys.setswitchinterval(0.001)
    return made


def offer_left_behind(window: MainWindow) -> None:
    """Offer the changes of a window that died, if there are any."""
    for path, panel in left_behind():
        button = QMessageBox.StandardButton
        when = datetime.datetime.fromtimestamp(path.stat().st_mtime).strftime("%d %B, %H:%M")
        answer = QMessageBox.question(
            window,
            translate("opening", "Changes were left behind"),
            translate("opening", "A window ended with unsaved changes to “{0}” ({1}). Open them?").format(
                panel.title, when
            ),
            button.Open | button.Discard | button.Cancel,
            button.Open,
        )
        if answer == button.Cancel:
            return
        if answer == button.Open:
            window.document.start(panel, None, unsaved=True)
            window.recovery.keep_now()
        path.unlink(missing_ok=True)
        Path(f"{path}.lock").unlink(missing_ok=True)
        if answer == button.Open:
            return


def open_window(path: Path | None) -> int:
    """Show the window on a panel and stay until it is closed.

    Raises
    ------
    DocumentError
        If the file is not a panel; no window is shown then.
    """
    running = application()
    window = MainWindow(starter_panel("New panel"))
    if path is not None:
        window.document.load(path)
    window.mishap.catch_all()
    window.show()
    offer_left_behind(window)
    return int(running.exec())
