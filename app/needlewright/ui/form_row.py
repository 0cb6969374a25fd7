"""One field of a form: its label, its editor, and what is wrong with what was typed."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QCheckBox, QGridLayout, QLabel, QSizePolicy, QWidget

from needlewright.ui.editors import editor_for
from needlewright.ui.fields import Field, Kind
from needlewright.ui.font_size import with_letters

LABEL_PX = 136.0
#: Opacity of the mark of 255: text on it keeps a contrast of 7 to 1 by day and by night.
_TONE = 38
#: What a field shows before it shows anything; None is a value.
_NOTHING = object()


class FieldRow(QWidget):
    """Label, editor, complaint; for an optional field the label is a box to set it.

    Signals
    -------
    given : object
        A value of the field's type, or None when the user takes an optional value away.
    set_wanted
        The user wants an optional field to have a value.
    """

    given = Signal(object)
    set_wanted = Signal()

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = field
        self._marked = False
        self._shown: Any = _NOTHING
        self.editor = editor_for(field)
        self._label: QLabel | QCheckBox
        if field.optional:
            self._label = QCheckBox(field.label)
            self._label.clicked.connect(self._set_or_clear)
        else:
            self._label = QLabel(field.label)
            self._label.setBuddy(self.editor)
        self._label.setFixedWidth(with_letters(LABEL_PX))
        self._complaint = QLabel()
        self._complaint.setObjectName("complaint")
        self._complaint.setWordWrap(True)
        self._complaint.hide()
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 1, 0, 1)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(1)
        grid.addWidget(
            self._label, 0, 0, Qt.AlignmentFlag.AlignTop if _is_tall(field) else Qt.AlignmentFlag.AlignVCenter
        )
        grid.addWidget(self.editor, 0, 1)
        grid.addWidget(self._complaint, 1, 1)
        grid.setColumnStretch(1, 1)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        for widget in (self.editor, self._label):  # rows are as high with a value as without
            widget.setMinimumHeight(24)
        tip = "\n".join(filter(None, (field.explanation, field.range_text)))
        self._label.setToolTip(tip)
        self.editor.setToolTip(tip)
        self.editor.given.connect(self.given)
        self.editor.complained.connect(self.complain)

    @property
    def label(self) -> QWidget:
        """Return the label, which for an optional field is a box that can have the focus."""
        return self._label

    def show_value(self, value: Any) -> None:
        """Show the document's value, in place of anything that is typed."""
        if value == self._shown and not self._is_touched:
            return  # at most edits of a panel a field stays as it is
        self._shown = value
        if isinstance(self._label, QCheckBox):
            self._label.setChecked(value is not None)
            self.editor.setVisible(value is not None)
        if value is not None:
            self.editor.show_value(value)
        self.complain("")

    @property
    def _is_touched(self) -> bool:
        """Return whether it shows something else than the document's value."""
        return bool(self._complaint.text()) or getattr(self.editor, "is_typed_in", False)

    def complain(self, sentence: str) -> None:
        """Say what is wrong with what was typed; an empty sentence takes it back."""
        self._complaint.setText(sentence)
        self._complaint.setVisible(bool(sentence))

    @property
    def is_marked(self) -> bool:
        """Return whether this is the field that was looked for."""
        return self._marked

    def mark(self, wanted: bool) -> None:
        """Mark the field as the one that was looked for, or take the mark away."""
        if wanted != self._marked:
            self._marked = wanted
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the mark: the whole row on a tone of the accent."""
        if self._marked:
            tone = self.palette().color(QPalette.ColorRole.Highlight)
            tone.setAlpha(_TONE)
            QPainter(self).fillRect(self.rect(), tone)

    def take_focus(self) -> None:
        """Put the cursor into the editor, or on the box that sets one; inside the row it stays."""
        now = self.focusWidget()
        if now is None or not now.hasFocus():
            shown = self._label if self.editor.isHidden() else self.editor
            shown.setFocus(Qt.FocusReason.OtherFocusReason)

    def _set_or_clear(self, wanted: bool) -> None:
        if wanted:
            self.set_wanted.emit()
        else:
            self.given.emit(None)


def _is_tall(field: Field) -> bool:
    return field.kind in (Kind.LONG_TEXT, Kind.CHOICES)
