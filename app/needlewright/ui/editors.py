"""The small editors, one a kind of field: each shows a value, and says when the user has given another.

An editor never changes the document. It emits ``given`` with a value of the field's type, and
``complained`` with a sentence while what is typed cannot be taken; an empty complaint takes it back.
"""

from __future__ import annotations

from enum import Enum
from typing import Any

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QKeySequence, QWheelEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QColorDialog,
    QComboBox,
    QHBoxLayout,
    QLineEdit,
    QPlainTextEdit,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from needlewright.ui.fields import Field, Kind
from needlewright.ui.font_size import with_letters
from needlewright.ui.number_box import WIDEST, NumberBox
from needlewright.ui.translation import QT_TRANSLATE_NOOP, in_words, translate

#: Digits kept after the point: a nanometre, a microdegree.
_DECIMALS = 6


class NumberEditor(NumberBox):
    """A number of a field, with its unit; arrow keys step by what the last digit suggests."""

    given = Signal(object)
    ended = Signal()  #: what comes next is another value, not more of the same

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._field = field
        self._whole = field.kind is Kind.WHOLE
        self.setDecimals(0 if self._whole else _DECIMALS)
        self.setRange(
            -WIDEST if field.low is None else field.low, WIDEST if field.high is None else field.high
        )
        if field.unit:
            self.setSuffix(field.unit if field.unit == "°" else f" {field.unit}")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumWidth(with_letters(96))
        self.valueChanged.connect(lambda value: self.given.emit(int(value) if self._whole else float(value)))
        self.lineEdit().textEdited.connect(self.ended)
        self.editingFinished.connect(self.ended)

    def show_value(self, value: float) -> None:
        """Show a value without saying it was given."""
        with QSignalBlocker(self):
            self.setSingleStep(_step(value, whole=self._whole))
            self.setValue(value)
        self.complained.emit("")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape takes back what was typed."""
        if event.key() == Qt.Key.Key_Escape:
            self.show_value(self.value())
            self.lineEdit().setText(self.textFromValue(self.value()) + self.suffix())
            self.selectAll()
            return
        super().keyPressEvent(event)
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.lineEdit().setText(self.lineEdit().text())  # what was given is the document's to take back
            self.selectAll()

    def complaint(self, text: str) -> str:
        """Return why a text cannot be taken; the field says whether the ends of its range belong to it."""
        number = self.number(text)
        if number is None:
            return self.tr("A number is wanted here.")
        low, high = self._field.low, self._field.high
        too_low = low is not None and (number < low or (self._field.low_open and number == low))
        too_high = high is not None and (number > high or (self._field.high_open and number == high))
        if too_low or too_high:
            return self.tr("Accepted: {0}.").format(self._field.range_text)
        if self._whole and number != int(number):
            return self.tr("A whole number is wanted here.")
        return ""


class ChoiceEditor(QComboBox):
    """One member of an enum."""

    given = Signal(object)
    complained = Signal(str)

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        for member in field.types[0]:
            self.addItem(_member_words(member), member)
        self.activated.connect(lambda at: self.given.emit(self.itemData(at)))

    def show_value(self, value: Enum) -> None:
        """Show a member."""
        at = next((i for i in range(self.count()) if self.itemData(i) is value), -1)
        self.setCurrentIndex(at)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to the form."""
        event.ignore()


class ChoicesEditor(QWidget):
    """Any members of an enum, a box each."""

    given = Signal(object)
    complained = Signal(str)

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        self._boxes: dict[Enum, QCheckBox] = {}
        for member in field.types[0]:
            box = QCheckBox(_member_words(member))
            box.setAccessibleName(f"{field.label}: {_member_words(member)}")
            box.clicked.connect(self._give)
            self._boxes[member] = box
            column.addWidget(box)

    def show_value(self, value: tuple[Enum, ...]) -> None:
        """Show the members that are in."""
        for member, box in self._boxes.items():
            box.setChecked(member in value)

    def _give(self) -> None:
        self.given.emit(tuple(member for member, box in self._boxes.items() if box.isChecked()))


class YesNoEditor(QCheckBox):
    """Yes or no."""

    given = Signal(object)
    complained = Signal(str)

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.clicked.connect(lambda checked: self.given.emit(bool(checked)))

    def show_value(self, value: bool) -> None:
        """Show a value."""
        self.setChecked(value)


class TextEditor(QLineEdit):
    """Text on one line."""

    given = Signal(object)
    complained = Signal(str)

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown = ""
        self.editingFinished.connect(self._finish)

    @property
    def is_typed_in(self) -> bool:
        """Return whether something is typed that was not given yet."""
        return self.text() != self._shown

    def show_value(self, value: str) -> None:
        """Show a text."""
        self._shown = value
        if self.text() != value:
            self.setText(value)

    def _finish(self) -> None:
        if self.is_typed_in:
            self.given.emit(self.text())
            at = self.cursorPosition()
            self.setText(self.text())  # what was given is the document's to take back
            self.setCursorPosition(at)


class LongTextEditor(QPlainTextEdit):
    """Text on several lines; given when the focus leaves it."""

    given = Signal(object)
    complained = Signal(str)

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown = ""
        self.setTabChangesFocus(True)
        self.setFixedHeight(with_letters(72))

    @property
    def is_typed_in(self) -> bool:
        """Return whether something is typed that was not given yet."""
        return self.toPlainText() != self._shown

    def show_value(self, value: str) -> None:
        """Show a text."""
        self._shown = value
        if self.toPlainText() != value:
            self.setPlainText(value)

    def focusOutEvent(self, event: Any) -> None:
        """Give the text when the user goes on."""
        super().focusOutEvent(event)
        if self.is_typed_in:
            self.given.emit(self.toPlainText())
            self.document().clearUndoRedoStacks()  # what was given is the document's to take back


_PATCH = """QToolButton { background: COLOUR; border: 1px solid palette(mid); min-width: 28px; }
QToolButton:focus { border: 2px solid palette(highlight); min-width: 26px; }"""


class ColourEditor(QWidget):
    """A colour as #rrggbb, with a patch that opens the system's colour dialog."""

    given = Signal(object)
    complained = Signal(str)

    def __init__(self, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._text = TextEditor(field)
        self._text.setMaxLength(7)
        self._text.setAccessibleName(self.tr("{0}, as #rrggbb").format(field.label))
        self._text.setMaximumWidth(96)
        self._patch = QToolButton()
        self._patch.setAccessibleName(self.tr("{0}, choose").format(field.label))
        self._patch.setToolTip(self.tr("Choose a colour"))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._patch)
        row.addWidget(self._text)
        row.addStretch()
        self._text.given.connect(lambda text: self.given.emit(text.strip().lower()))
        self._patch.clicked.connect(self._choose)

    @property
    def is_typed_in(self) -> bool:
        """Return whether something is typed that was not given yet."""
        return self._text.is_typed_in

    def show_value(self, value: str) -> None:
        """Show a colour."""
        self._text.show_value(value)
        sheet = _PATCH.replace("COLOUR", value)
        if sheet != self._patch.styleSheet():  # to set one costs half a millisecond at every edit
            self._patch.setStyleSheet(sheet)

    def setFocus(self, *reason: Any) -> None:
        """Put the cursor into the text; with a focus proxy the Tab key would pass by the patch."""
        self._text.setFocus(*reason)

    def _choose(self) -> None:
        chosen = QColorDialog.getColor(QColor(self._text.text()), self)
        if chosen.isValid():
            self.given.emit(chosen.name())


Editor = (
    NumberEditor | ChoiceEditor | ChoicesEditor | YesNoEditor | TextEditor | LongTextEditor | ColourEditor
)

_EDITORS: dict[Kind, type[Editor]] = {
    Kind.NUMBER: NumberEditor,
    Kind.WHOLE: NumberEditor,
    Kind.CHOICE: ChoiceEditor,
    Kind.CHOICES: ChoicesEditor,
    Kind.YES_NO: YesNoEditor,
    Kind.TEXT: TextEditor,
    Kind.LONG_TEXT: LongTextEditor,
    Kind.COLOUR: ColourEditor,
}


def editor_for(field: Field) -> Editor:
    """Return a fresh editor for a field."""
    editor = _EDITORS[field.kind](field)
    spoken = f"{field.label}, {field.unit}" if field.unit else field.label
    editor.setAccessibleName(spoken)
    editor.setAccessibleDescription(
        ". ".join(filter(None, (field.explanation.rstrip("."), field.range_text)))
    )
    return editor


def takers_of_keys(editor: Editor) -> list[QWidget]:
    """Return the widgets of an editor that can have the focus, itself or those it is made of."""
    made_of = editor.findChildren(QWidget) if isinstance(editor, ColourEditor | ChoicesEditor) else []
    return [widget for widget in made_of if widget.focusPolicy() != Qt.FocusPolicy.NoFocus] or [editor]


def is_for_the_document(widget: QWidget, event: QKeyEvent) -> bool:
    """Return whether a key pressed in a field takes back a step of the document.

    A field takes back only what is typed and not yet given; after that it is a step like any other.
    """
    if getattr(widget, "is_typed_in", False):
        return False
    pressed = QKeySequence(event.keyCombination())
    return pressed in (*keys_of(QKeySequence.StandardKey.Undo), *keys_of(QKeySequence.StandardKey.Redo))


def keys_of(step: QKeySequence.StandardKey) -> list[QKeySequence]:
    """Return the keys of undo or redo: those of the system, and for redo both that are in use."""
    keys = QKeySequence.keyBindings(step)
    if step is QKeySequence.StandardKey.Redo:
        control, shift = Qt.Modifier.CTRL, Qt.Modifier.SHIFT
        both = (QKeySequence(control | shift | Qt.Key.Key_Z), QKeySequence(control | Qt.Key.Key_Y))
        keys += [key for key in both if key not in keys]
    return keys


_WORDS = {
    "usb2": QT_TRANSLATE_NOOP("editors", "USB 2 port"),
    "usb3": QT_TRANSLATE_NOOP("editors", "USB 3 port"),
    "usb-c-1.5a": QT_TRANSLATE_NOOP("editors", "USB-C port, 1.5 A"),
    "usb-c-3a": QT_TRANSLATE_NOOP("editors", "USB-C port, 3 A"),
    "charger": QT_TRANSLATE_NOOP("editors", "USB charger"),
    "separate": QT_TRANSLATE_NOOP("editors", "separate 5 V supply"),
}


def _member_words(member: Enum) -> str:
    if member.value in _WORDS:
        return translate("editors", _WORDS[member.value])
    return in_words(member) or translate("editors", "unknown")


def _step(value: float, *, whole: bool) -> float:
    """Return the step of the arrow keys: about a hundredth of the value, a one with zeros."""
    if whole or abs(value) >= 100:
        return 1.0
    if abs(value) >= 10:
        return 0.5
    return 0.1 if abs(value) >= 1 else 0.05
