"""The current panel: the one place in the window where it changes.

Widgets call `edit` and listen to ``changed``. Undo is a list of panels, kept by Qt's undo stack, each step
with a name. A panel that is refused leaves everything as it was.
"""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from gaugecore.panel.document import Panel
from gaugecore.panel.edit import Place, with_value
from gaugecore.panel.panel_file import PanelFile, open_panel_file, save_anyway, save_over

_MERGES = 1
"""Id that tells the undo stack which steps may melt into one."""


class _Step(QUndoCommand):
    """From one panel to the next."""

    def __init__(self, document: PanelDocument, before: Panel, after: Panel, name: str, group: str) -> None:
        super().__init__(name)
        self._document, self._before, self._after, self._group = document, before, after, group

    def redo(self) -> None:
        self._document._show(self._after)

    def undo(self) -> None:
        self._document._show(self._before)

    def id(self) -> int:
        return _MERGES if self._group else -1

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, _Step) or other._group != self._group:
            return False
        self._after = other._after
        self.setText(other.text())
        return True


class PanelDocument(QObject):
    """The current panel, its file, and the way back.

    Signals
    -------
    changed : Panel
        Another panel is current, by an edit, undo, redo or load.
    begun
        Another panel was opened or begun, before `changed` says so; nothing of the one before holds for it.
    place_changed
        The panel has another file, or the question of unsaved changes has another answer.

    Attributes
    ----------
    in_hand : bool
        Whether something of it is being dragged: work in the background would hold up the hand.
    """

    changed = Signal(object)
    begun = Signal()
    place_changed = Signal()

    def __init__(self, panel: Panel, path: Path | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._panel = panel
        self._path = path
        self._opened: PanelFile | None = None
        self._group_count = 0
        self.in_hand = False
        self.steps = QUndoStack(self)
        self.steps.cleanChanged.connect(self.place_changed)

    @property
    def panel(self) -> Panel:
        """Return the current panel."""
        return self._panel

    @property
    def path(self) -> Path | None:
        """Return the file it is kept in, None before the first save."""
        return self._path

    @property
    def origin(self) -> PanelFile | None:
        """Return the file as it was opened or saved here last, None when there is none."""
        return self._opened

    @property
    def unsaved(self) -> bool:
        """Return whether there are changes that the file does not have."""
        return not self.steps.isClean()

    def edit(self, place: Place, value: object, name: str, *, group: str = "") -> None:
        """Replace one value, as a step that can be undone.

        Parameters
        ----------
        place : tuple
            Where in the panel.
        value : object
            The new value.
        name : str
            What the step is called: "face diameter to 62 mm".
        group : str
            Steps in a row with the same group melt into one, as while dragging; empty: each stands alone.

        Raises
        ------
        DocumentError
            If the value is not valid; nothing has changed then.
        """
        self.replace(with_value(self._panel, place, value), name, group=group)

    def replace(self, panel: Panel, name: str, *, group: str = "") -> None:
        """Make another panel the current one, as a step that can be undone."""
        if panel == self._panel:
            return
        self.steps.push(_Step(self, self._panel, panel, name, group))

    def new_group(self, name: str) -> str:
        """Return a group that no earlier step has, for one drag or one burst of key presses."""
        self._group_count += 1
        return f"{name} {self._group_count}"

    def load(self, path: Path) -> None:
        """Make the panel in a file the current one; the way back starts afresh.

        Raises
        ------
        DocumentError
            If the file is not a panel; the current one stays.
        """
        opened = open_panel_file(path)
        self.start(opened.panel, path, opened=opened)

    def start(
        self,
        panel: Panel,
        path: Path | None,
        *,
        unsaved: bool = False,
        opened: PanelFile | None = None,
    ) -> None:
        """Begin with a panel; the way back starts afresh.

        Parameters
        ----------
        panel : Panel
            To begin with.
        path : Path or None
            Its file, if it has one.
        unsaved : bool
            Whether it has changes that the file does not have.
        opened : PanelFile or None
            The file as it was opened, so that what another program saves meanwhile is not written over.
        """
        self._panel, self._path, self._opened = panel, path, opened
        self.steps.clear()
        if unsaved:
            self.steps.resetClean()
        self.begun.emit()
        self.changed.emit(panel)
        self.place_changed.emit()

    def save(self, path: Path, *, anyway: bool = False) -> None:
        """Put the current panel into its file.

        Parameters
        ----------
        path : Path
            The file.
        anyway : bool
            Whether the user has said so already when another program changed the file meanwhile.

        Raises
        ------
        ChangedMeanwhileError
            If another program changed the file since it was opened here; both are kept. A file that is gone
            is no change that could be lost: it is made anew.
        OutputError
            If the place does not take it; the old file is untouched.
        """
        opened = self._opened
        if opened is None or opened.path != path or anyway or not path.exists():
            self._opened = save_anyway(path, self._panel)
        else:
            self._opened = save_over(opened, self._panel)
        self._path = path
        self.steps.setClean()
        self.place_changed.emit()

    def _show(self, panel: Panel) -> None:
        self._panel = panel
        self.changed.emit(panel)
