"""The menus: files, undo, the view, help. Each entry does one thing and has a key."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QSettings, Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QDialog, QFileDialog, QMenu, QMessageBox, QUndoView, QVBoxLayout

from gaugecore.errors import NeedlewrightError
from gaugecore.feed.recording import TIME
from gaugecore.panel.panel_file import ChangedMeanwhileError
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import SUFFIX
from needlewright.samples import sample_names, sample_path
from needlewright.ui.changed_meanwhile import Choice, changed_meanwhile
from needlewright.ui.desk import Stage
from needlewright.ui.editors import keys_of
from needlewright.ui.help_pages import HelpPages
from needlewright.ui.screen_ruler import ScreenRuler
from needlewright.ui.translation import capital, translate

if TYPE_CHECKING:
    from needlewright.ui.main_window import MainWindow

_RECENT_KEY = "files/recent"
_MOST_RECENT = 8


class Commands(QObject):
    """Builds the menus over a window and its document."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self._document = window.document
        self._recent_menu = QMenu(self.tr("Recent panels"), window)
        bar = window.menuBar()
        self._fill_panel_menu(bar.addMenu(self.tr("&Panel")))
        self._fill_edit_menu(bar.addMenu(self.tr("&Edit")))
        self._fill_view_menu(bar.addMenu(self.tr("&View")))
        about, key = self.tr("About this &stage"), QKeySequence.StandardKey.HelpContents
        self._add(bar.addMenu(self.tr("&Help")), about, key, self.help)

    def open(self, path: Path) -> None:
        """Open a panel file, or say in one sentence why not."""
        try:
            self._document.load(path)
        except NeedlewrightError as error:
            self._window.strip.refuse(error)
            return
        if self._window.open_file.warning:
            self._window.strip.say(self._window.open_file.warning)
        self._remember(path)

    def take_file(self, path: Path) -> None:
        """Open a file of any kind: a recording shows its response, readings are fitted."""
        if path.suffix.lower() == ".csv" and self._window.desk.instrument is None:
            self._window.strip.say(
                self.tr(
                    "There is no instrument yet that {0} could be for: add one with New, on the left."
                ).format(path.name)
            )
        elif path.suffix.lower() == ".csv":
            recorded = is_recording(path)
            self._window.desk.open_stage(Stage.MOVEMENT if recorded else Stage.CALIBRATION)
            page = self._window.stages.currentWidget()
            (page.open_recording if recorded else page.open_readings)(path)  # type: ignore[attr-defined]
        elif self.may_leave():
            self.open(path)

    def print_pages(self) -> None:
        """Print the paper pages, by the output stage: it knows what the bars of the last print measured."""
        self._window.desk.open_stage(Stage.OUTPUT)
        self._window.stages.currentWidget().files.print_pages()  # type: ignore[attr-defined]

    def help(self) -> None:
        """Show the page of the open stage."""
        HelpPages(self._window.desk.stage, self._window).show()

    def new(self) -> None:
        """Begin a panel with one plain dial."""
        if self.may_leave():
            self._document.start(starter_panel("New panel"), None)

    def save(self) -> bool:
        """Save to the panel's own file; True when it is there."""
        path = self._document.path
        return self.save_as() if path is None else self._save_to(path)

    def save_as(self) -> bool:
        """Ask for a file and save to it; True when it is there."""
        start = self._document.path or Path.home() / f"panel{SUFFIX}"
        chosen, _ = QFileDialog.getSaveFileName(
            self._window, self.tr("Save panel as"), str(start), self._filter()
        )
        if not chosen:
            return False
        path = Path(chosen)
        # the dialog has asked already whether a file that is there may go
        path = path if path.name.endswith(SUFFIX) else path.with_name(path.name + SUFFIX)
        return self._save_to(path, anyway=True)

    def may_leave(self) -> bool:
        """Return whether the current panel may go: it is saved, or the user lets it go."""
        if not self._document.unsaved:
            return True
        button = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self._window,
            self.tr("Unsaved changes"),
            self.tr("“{0}” has changes that are not in its file. Save them first?").format(
                self._document.panel.title
            ),
            button.Save | button.Discard | button.Cancel,
            button.Save,
        )
        if answer == button.Save:
            return self.save()
        return bool(answer == button.Discard)

    def _ask_and_open(self) -> None:
        if not self.may_leave():
            return
        start = self._document.path.parent if self._document.path is not None else Path.home()
        chosen, _ = QFileDialog.getOpenFileName(
            self._window, self.tr("Open panel"), str(start), self._filter()
        )
        if chosen:
            self.open(Path(chosen))

    def _open_recent(self, path: Path, _checked: bool = False) -> None:
        if self.may_leave():
            self.open(path)

    def _open_sample(self, name: str) -> None:
        """Open a sample as a new panel: saving it asks for a file of the user's own."""
        if not self.may_leave():
            return
        try:
            self._document.load(sample_path(name))
        except NeedlewrightError as error:
            self._window.strip.refuse(error)
            return
        self._document.start(self._document.panel, None)

    def _save_to(self, path: Path, *, anyway: bool = False) -> bool:
        try:
            self._document.save(path, anyway=anyway)
        except ChangedMeanwhileError as error:
            self._window.strip.refuse(error)
            return self._ask_what_of(path)
        except NeedlewrightError as error:
            self._window.strip.refuse(error)
            return False
        self._remember(path)
        self._window.strip.say(self.tr("Saved: {0}").format(path))
        return True

    def _ask_what_of(self, path: Path) -> bool:
        """Let the user choose, when another program saved the file meanwhile; True when ours is in a file."""
        choice = changed_meanwhile(self._window, path)
        if choice is Choice.SAVE_AS:
            return self.save_as()
        return choice is Choice.REPLACE and self._save_to(path, anyway=True)

    def _remember(self, path: Path) -> None:
        settings = QSettings()
        before = [str(item) for item in _as_list(settings.value(_RECENT_KEY))]
        now = [str(path), *(item for item in before if item != str(path))]
        settings.setValue(_RECENT_KEY, now[:_MOST_RECENT])

    def _fill_recent(self) -> None:
        self._recent_menu.clear()
        for item in _as_list(QSettings().value(_RECENT_KEY)):
            action = self._recent_menu.addAction(str(item))
            action.triggered.connect(partial(self._open_recent, Path(str(item))))
        if self._recent_menu.isEmpty():
            self._recent_menu.addAction(self.tr("None yet")).setEnabled(False)

    def _fill_panel_menu(self, menu: QMenu) -> None:
        self._add(menu, self.tr("&New"), QKeySequence.StandardKey.New, self.new)
        self._add(menu, self.tr("&Open…"), QKeySequence.StandardKey.Open, self._ask_and_open)
        samples = menu.addMenu(self.tr("Begin from a &sample"))
        for name in sample_names():
            label = capital(translate("words", name.replace("-", " ")))
            samples.addAction(label).triggered.connect(lambda _=False, name=name: self._open_sample(name))
        self._recent_menu.aboutToShow.connect(self._fill_recent)
        menu.addMenu(self._recent_menu)
        menu.addSeparator()
        self._add(menu, self.tr("&Save"), QKeySequence.StandardKey.Save, self.save)
        self._add(menu, self.tr("Save &as…"), QKeySequence.StandardKey.SaveAs, self.save_as)
        menu.addSeparator()
        self._add(menu, self.tr("&Print…"), QKeySequence.StandardKey.Print, self.print_pages)
        menu.addSeparator()
        self._add(menu, self.tr("&Close"), QKeySequence.StandardKey.Quit, self._window.close)

    def _fill_edit_menu(self, menu: QMenu) -> None:
        steps = self._document.steps
        undo = steps.createUndoAction(self, self.tr("Undo:"))
        undo.setShortcuts(keys_of(QKeySequence.StandardKey.Undo))
        redo = steps.createRedoAction(self, self.tr("Redo:"))
        redo.setShortcuts(keys_of(QKeySequence.StandardKey.Redo))
        menu.addActions([undo, redo])
        menu.addSeparator()
        self._add(menu, self.tr("&Steps…"), "Ctrl+Alt+Z", self._show_steps)

    def _fill_view_menu(self, menu: QMenu) -> None:
        canvas = self._window.dial.canvas
        self._add(menu, self.tr("&Fit the dial"), "Ctrl+0", canvas.fit)
        self._add(menu, self.tr("&True size"), "Ctrl+1", self._window.dial.tools.true_size)
        self._add(menu, self.tr("&Closer"), QKeySequence.StandardKey.ZoomIn, lambda: canvas.zoom(1.25))
        self._add(menu, self.tr("Fa&rther"), QKeySequence.StandardKey.ZoomOut, lambda: canvas.zoom(0.8))
        menu.addSeparator()
        self._add(menu, self.tr("&Measure this screen…"), "", self._measure_screen)

    def _show_steps(self) -> None:
        """Show all steps, to walk back and forth in."""
        dialog = QDialog(self._window)
        dialog.setWindowTitle(self.tr("Steps"))
        steps = QUndoView(self._document.steps)
        steps.setEmptyLabel(self.tr("as it was opened"))
        steps.setAccessibleName(self.tr("Steps"))
        QVBoxLayout(dialog).addWidget(steps)
        dialog.resize(360, 420)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.show()

    def _measure_screen(self) -> None:
        """Ask how long a line on this screen really is, so that true size is true."""
        ScreenRuler(self._window.screen(), self._window).exec()
        self._window.dial.tools.show_scale()

    def _filter(self) -> str:
        return self.tr("Panels (*{0});;All files (*)").format(SUFFIX)

    def _add(self, menu: QMenu, text: str, key: QKeySequence.StandardKey | str, do: object) -> QAction:
        action = menu.addAction(text)
        action.setShortcut(QKeySequence(key))
        action.triggered.connect(lambda _=False: do())  # type: ignore[operator]
        return action


def is_recording(path: Path) -> bool:
    """Return whether a CSV file has a time column; what cannot be read is left to the next to say."""
    try:
        with path.open(encoding="utf-8-sig", errors="replace") as file:
            head = next((line for line in file if line.strip() and not line.startswith("#")), "")
    except OSError:
        return False
    return TIME in [name.strip() for name in head.split(",")]


def _as_list(stored: object) -> list[object]:
    """Return what settings keep as a list; one entry alone comes back as text."""
    if stored is None:
        return []
    return list(stored) if isinstance(stored, list) else [stored]
