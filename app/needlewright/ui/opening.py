"""Opens the window: the application, its look, the net under it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QApplication

from gaugecore.panel.starter import starter_panel
from needlewright.ui.look import Look
from needlewright.ui.main_window import MainWindow


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
    return made


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
    window.show()
    return int(running.exec())
