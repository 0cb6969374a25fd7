"""Opens the window: the application, its look, the net under it."""

from __future__ import annotations

import datetime
import sys
from pathlib import Path

from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QApplication, QMessageBox

from gaugecore.panel.starter import starter_panel
from needlewright.ui.data_folder import data_place
from needlewright.ui.icon import window_icon
from needlewright.ui.look import Look
from needlewright.ui.main_window import MainWindow
from needlewright.ui.recovery import forget, left_behind, origin_of
from needlewright.ui.tidying import Tidying
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
    made.setWindowIcon(window_icon())
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
        origin = origin_of(path, panel)
        answer = QMessageBox.question(
            window,
            translate("opening", "Changes were left behind"),
            _question(panel.title, when, origin.path if origin is not None else None),
            button.Open | button.Discard | button.Cancel,
            button.Open,
        )
        if answer == button.Cancel:
            return
        if answer == button.Open:
            place = origin.path if origin is not None else None
            window.document.start(panel, place, unsaved=True, opened=origin)
            window.recovery.keep_now()
        forget(path)
        Path(f"{path}.lock").unlink(missing_ok=True)
        if answer == button.Open:
            return


def _question(title: str, when: str, path: Path | None) -> str:
    if path is None:
        said = translate("opening", "A window ended with unsaved changes to “{0}” ({1}). Open them?")
        return said.format(title, when)
    said = translate("opening", "A window ended with unsaved changes to “{0}” in {1} ({2}). Open them?")
    return said.format(title, path, when)


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
    Tidying(window)
    window.show()
    if window.recovery.is_off:
        window.strip.say(
            translate(
                "opening",
                "Unsaved changes are not put aside: {0} cannot be written. Save often, or start with another "
                "data folder.",
            ).format(data_place())
        )
    elif window.open_file.warning:
        window.strip.say(window.open_file.warning)
    offer_left_behind(window)
    return int(running.exec())
