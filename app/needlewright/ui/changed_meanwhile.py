"""The question when a file was saved by another program after it was opened here."""

from __future__ import annotations

from enum import Enum
from pathlib import Path

from PySide6.QtWidgets import QMessageBox, QWidget

from needlewright.ui.translation import translate


class Choice(Enum):
    """What is to become of our panel."""

    SAVE_AS = "elsewhere"  #: it gets another file, both are kept
    REPLACE = "replace"  #: it takes the place of the other one
    NEITHER = "neither"  #: nothing happens, it stays unsaved


def changed_meanwhile(parent: QWidget, path: Path) -> Choice:
    """Ask whether to save under another name, or to replace what another program saved."""
    box = QMessageBox(parent)
    box.setIcon(QMessageBox.Icon.Question)
    box.setWindowTitle(translate("changed_meanwhile", "The file has changed"))
    box.setText(
        translate(
            "changed_meanwhile",
            "Another program saved {0} after it was opened here. Under another name, both are kept.",
        ).format(path)
    )
    as_new = box.addButton(
        translate("changed_meanwhile", "Save under another name…"), QMessageBox.ButtonRole.AcceptRole
    )
    replace = box.addButton(
        translate("changed_meanwhile", "Replace it"), QMessageBox.ButtonRole.DestructiveRole
    )
    box.addButton(QMessageBox.StandardButton.Cancel)
    box.setDefaultButton(as_new)
    box.exec()
    chosen = {as_new: Choice.SAVE_AS, replace: Choice.REPLACE}
    return chosen.get(box.clickedButton(), Choice.NEITHER)  # type: ignore[call-overload, no-any-return]
